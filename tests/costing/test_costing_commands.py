"""``stock`` and ``cost``: what the terminal says about money."""

import io
import json
from decimal import Decimal

import pytest
from django.core.management import CommandError, call_command

from production.buying.actions.purchases import add_extra_cost, price_line
from production.correcting.actions.entries import reverse_movement
from production.exchange.actions.replaying import import_history
from production.models import Lot, PurchaseLine
from tests import make
from tests.once import remembered
from tests.production.history_cases import FIRST_MONTH

pytestmark = pytest.mark.django_db
NOTHING = {
    "purchases": "0.000000000",
    "opening": "0.000000000",
    "making_cost": "0.000000000",
    "work_in_progress": "0.000000000",
    "stock": "0.000000000",
    "cost_of_goods_sold": "0.000000000",
    "losses": "0.000000000",
}


@pytest.fixture
@remembered
def first_month():
    import_history(text=FIRST_MONTH)


def said(*words):
    out = io.StringIO()
    call_command(*words, stdout=out)
    return out.getvalue()


def answer(*words):
    return json.loads(said(*words, "--json"))


def test_stock_of_an_empty_book_is_nothing():
    assert answer("stock") == {"lots": [], "totals": NOTHING}


def test_stock_tells_each_lot_in_strings(first_month):
    report = answer("stock")
    assert set(report) == {"lots", "totals"}
    assert [row["code"] for row in report["lots"]][:4] == ["R1", "R2", "R3", "R4"]
    [bottles] = [row for row in report["lots"] if row["code"] == "F1"]
    assert bottles == {
        "code": "F1",
        "item": "hand wash 250 mL",
        "unit": "piece",
        "status": "released",
        "in": "20",
        "on_hand": "16",
        "unit_cost": "3.202075011",
        "value": "51.233200179",
        "parts": bottles["parts"],
    }
    assert list(bottles["parts"]) == ["labour", "material", "overhead", "packaging"]
    assert bottles["parts"]["packaging"] == "9.812000000"
    assert sum(map(Decimal, bottles["parts"].values())) == Decimal(bottles["value"])


def test_the_totals_of_stock_add_up_to_the_last_place(first_month):
    report = answer("stock")
    totals = {name: Decimal(figure) for name, figure in report["totals"].items()}
    assert list(totals) == list(NOTHING)
    came = totals["purchases"] + totals["opening"] + totals["making_cost"]
    went = totals["stock"] + totals["work_in_progress"]
    assert came == went + totals["cost_of_goods_sold"] + totals["losses"]
    values = sum(Decimal(row["value"]) for row in report["lots"])
    assert values == totals["stock"]


def test_stock_as_text_names_every_lot_and_total(first_month):
    lines = said("stock").splitlines()
    assert lines[0].split() == ["lot", "item", "on", "hand", "unit", "cost", "value"]
    [bottles] = [line.split() for line in lines if line.startswith("F1")]
    assert bottles == [
        "F1",
        *("hand", "wash", "250", "mL"),
        "16",
        "3.202075011",
        "51.233200179",
    ]
    assert lines[-1].split() == ["losses", "5.554913156"]


@pytest.fixture
@remembered
def unpriced():
    """Oil whose invoice has not come, in a paste, sold from; salt at a price."""
    oil = make.lot("OIL-1", price=None)
    make.lot("SALT-1", price="3.00", item=make.item("sea salt", category="salt"))
    paste = make.batch(uses=[(oil, "500")], amount="500", code="THIN")
    make.sale(paste, "100")


def test_an_unknown_price_is_null_and_named_not_zero(unpriced):
    report = answer("stock")
    rows = {row["code"]: row for row in report["lots"]}
    for code in ("OIL-1", "THIN"):
        assert rows[code]["unit_cost"] is None
        assert rows[code]["value"] is None
        assert rows[code]["parts"] is None
    assert rows["SALT-1"]["value"] == "3.000000000"
    assert report["missing"] == ["OIL-1"]
    assert report["totals"] == dict.fromkeys(NOTHING)
    assert report["known"] == NOTHING | {
        "purchases": "3.000000000",
        "stock": "3.000000000",
    }


def test_an_unknown_price_is_said_in_words(unpriced):
    text = said("stock")
    assert "unknown" in text
    assert "Only what is known; these lots have no price yet: OIL-1.\n" in text
    assert said("cost", "THIN") == (
        "THIN (diluted soap): not known, since these lots have no price yet: OIL-1.\n"
    )


def test_cost_of_an_unpriced_lot_is_null_and_says_what_is_missing(unpriced):
    report = answer("cost", "THIN")
    for key in ("unit_cost", "parts", "by_source"):
        assert report[key] is None
    assert report["missing"] == ["OIL-1"]


def test_a_price_that_comes_late_values_everything_behind_it(unpriced):
    line = PurchaseLine.objects.get(lots__code="OIL-1")
    price_line(line=line, price=Decimal(8), **make.act(9))
    assert answer("cost", "THIN")["unit_cost"] == "0.008000000"
    assert "missing" not in answer("stock")


def test_cost_opens_a_bottle_down_to_lots_and_work(first_month):
    report = answer("cost", "F1")
    head = {key: report[key] for key in ("lot", "item", "unit", "currency")}
    assert head == {
        "lot": "F1",
        "item": "hand wash 250 mL",
        "unit": "piece",
        "currency": "USD",
    }
    assert set(report) == {*head, "unit_cost", "parts", "by_source", "missing"}
    assert report["unit_cost"] == "3.202075011"
    assert report["missing"] == []
    assert list(report["parts"]) == ["labour", "material", "overhead", "packaging"]
    unit_cost = Decimal(report["unit_cost"])
    assert sum(map(Decimal, report["parts"].values())) == unit_cost
    assert sum(Decimal(row["cost"]) for row in report["by_source"]) == unit_cost
    found = {
        (row["kind"], row["source"], row["component"]) for row in report["by_source"]
    }
    assert found == {
        ("lot", "R1", "material"),
        ("lot", "R2", "material"),
        ("lot", "R3", "material"),
        ("lot", "R4", "packaging"),
        ("batch", "B-1", "labour"),
        ("batch", "B-1", "overhead"),
        ("batch", "B-2", "labour"),
        ("batch", "B-3", "labour"),
    }


def test_the_parts_of_a_unit_cost_are_the_sums_of_its_sources(first_month):
    report = answer("cost", "F1")
    for component, cost in report["parts"].items():
        sources = sum(
            Decimal(row["cost"])
            for row in report["by_source"]
            if row["component"] == component
        )
        assert abs(sources - Decimal(cost)) <= Decimal("0.000000008")


def test_cost_as_text_has_the_unit_and_the_currency(first_month):
    lines = said("cost", "F1").splitlines()
    assert lines[0] == "F1 (hand wash 250 mL): 3.202075011 USD per piece"
    assert any(line.split() == ["packaging", "0.613250000"] for line in lines)
    assert any(line.split() == ["R4", "packaging", "0.613250000"] for line in lines)
    assert said("cost", "P1").startswith("P1 (paste): 0.015685588 USD per g\n")


def test_cost_of_a_bought_lot_is_its_own_line(first_month):
    [source] = answer("cost", "R1")["by_source"]
    assert source == {
        "kind": "lot",
        "source": "R1",
        "component": "material",
        "cost": "0.004770000",
    }


def test_a_lot_that_was_taken_back_has_no_cost():
    oil = make.lot("OIL-1")
    row = oil.movements.get()
    reverse_movement(movement=row, **make.act(reason="never came"))
    with pytest.raises(CommandError, match="OIL-1 holds nothing yet"):
        call_command("cost", "OIL-1")
    assert answer("stock")["totals"] == NOTHING


def test_a_late_bill_revalues_stock_and_what_was_sold(first_month):
    purchase = Lot.objects.get(code="R1").line.purchase
    before = answer("stock")["totals"]
    bill = {"kind": "freight", "amount": Decimal("10"), "by_basis": "value"}
    add_extra_cost(purchase=purchase, **bill, **make.act())
    after = answer("stock")["totals"]
    rise = Decimal(after["purchases"]) - Decimal(before["purchases"])
    assert rise == 10
    assert Decimal(after["cost_of_goods_sold"]) > Decimal(before["cost_of_goods_sold"])
