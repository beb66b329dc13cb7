"""A trial is development until it is promoted; then its lot is stock at its cost."""

import io
import json
from decimal import Decimal as D

import pytest
from django.core.management import call_command
from django.urls import reverse

from config.audit import audit
from costing.reads import whole_book
from production.batches.actions.batches import start_batch, use_lots
from production.batches.actions.new_batch import Use
from production.batches.actions.trials import promote_trial
from production.lots.actions.lot_deeds import discard, give
from production.yields.domain.hours_and_losses import NewWork
from tests import make

pytestmark = pytest.mark.django_db
HOUR = NewWork("labour", D(1), D(2))


@pytest.fixture
def sample():
    """100 g of a soap at 0.01, and an hour's work at 2.00: 3.00 for 100 g."""
    soap = make.lot("SOAP", price="10.00")
    return made_of(soap, "100", code="TRY-1", trial=True, work=[HOUR])


def made_of(lot, amount, **facts):
    facts = {"makes": "finished soap", "amount": amount} | facts
    return make.batch("finishing", uses=[(lot, amount)], **facts)


def promote(lot):
    make.seen(lot.batch)
    promote_trial(batch=lot.batch, **make.act(4, reason="stayed clear"))


def answer(*words):
    out = io.StringIO()
    call_command(*words, "--json", stdout=out)
    return json.loads(out.getvalue())


def totals():
    """The figures that are not zero; the law holds at any time."""
    found = {name: D(text) for name, text in answer("stock")["totals"].items()}
    came = found["purchases"] + found["opening"] + found["making_cost"]
    went = found["stock"] + found["work_in_progress"] + found["cost_of_goods_sold"]
    assert came == went + found["losses"]
    assert [fault for law in audit() for fault in law.faults] == []
    return {name: float(value) for name, value in found.items() if value}


def test_what_a_trial_took_is_an_expense_and_no_stock(sample):
    assert totals() == {
        "purchases": 10,
        "making_cost": 2,
        "stock": 9,
        "losses": 3,
        "development": 3,
    }


def test_once_promoted_its_lot_is_stock_at_its_cost(sample):
    promote(sample)
    assert totals() == {"purchases": 10, "making_cost": 2, "stock": 12}


def test_a_trial_that_is_still_open_is_no_work_in_progress():
    soap = make.lot("SOAP", price="10.00")
    batch = start_batch(stage="finishing", trial=True, **make.act())
    use_lots(batch=batch, uses=[Use(lot=soap, amount=D(50))], **make.act())
    assert totals() == {
        "purchases": 10,
        "stock": 9.5,
        "losses": 0.5,
        "development": 0.5,
    }


def test_what_left_a_trial_is_development_and_not_lost_twice(sample):
    give(lot=sample, amount=D(10), why="tester", **make.act(4))
    discard(lot=sample, amount=D(20), **make.act(4, reason="cloudy"))
    assert totals()["development"] == 3
    promote(sample)
    found = totals()
    assert "development" not in found
    assert found["losses"] == pytest.approx(0.9)


def test_a_trial_used_further_takes_its_value_along(sample):
    made_of(sample, "50", code="AGAIN", trial=True)
    assert totals()["development"] == 3
    made_of(sample, "25", code="KEPT")
    found = totals()
    assert found["development"] == 2.25
    assert found["stock"] == 9.75


def test_the_row_of_a_trial_has_no_value_and_says_its_development(sample):
    rows = {row["code"]: row for row in answer("stock")["lots"]}
    assert rows["TRY-1"]["value"] == "0.000000000"
    assert rows["TRY-1"]["parts"] == {}
    assert rows["TRY-1"]["unit_cost"] == "0.030000000"
    assert rows["TRY-1"]["development"] == "3.000000000"
    assert "development" not in rows["SOAP"]


def test_the_drawer_still_says_what_a_gram_cost(desk, sample):
    page = desk.get(reverse("lot-cost", args=["TRY-1"])).content.decode()
    assert "Development: this is a trial, not accepted" in page
    assert "0.03" in page
    assert answer("cost", "TRY-1")["development"] == "this is a trial, not accepted"
    promote(sample)
    page = desk.get(reverse("lot-cost", args=["TRY-1"])).content.decode()
    assert "not accepted" not in page
    assert "development" not in answer("cost", "TRY-1")


def test_the_value_page_tells_development_apart(desk, sample):
    page = desk.get(reverse("book-value")).content.decode()
    assert "of the losses, development" in page
    assert "finished soap, a trial" in page
    promote(sample)
    page = desk.get(reverse("book-value")).content.decode()
    assert "development" not in page


def test_a_trial_of_something_unpriced_is_unknown_too():
    soap = make.lot("SOAP", price=None)
    made_of(soap, "100", code="TRY-1", trial=True)
    rows = {row["code"]: row for row in answer("stock")["lots"]}
    assert rows["TRY-1"]["value"] is None
    assert rows["TRY-1"]["development"] is None
    assert whole_book().valuation.totals.development == 0
