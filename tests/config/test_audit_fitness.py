"""The law "Nothing alkaline left untested": what breaks it, and what is told apart."""

import io
import json
from decimal import Decimal as D
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.urls import reverse

from production.models import Deed, Movement, Place, Sale, SaleLine
from production.release.actions.answering import answer_for
from production.release.actions.readings import note_measurement
from production.release.actions.tested_before import note_tested_before
from tests import make
from tests.make import act, day

pytestmark = pytest.mark.django_db


def audited():
    out = StringIO()
    try:
        call_command("audit", stdout=out)
    except CommandError as broken:
        return out.getvalue(), str(broken)
    return out.getvalue(), ""


def sold_past_the_guards(lot):
    """As a hand in the database would do it."""
    deed = Deed.objects.create(key="hand", verb="sell", on=day(6), by=make.owner())
    sale = Sale.objects.create(deed=deed, number="S-9", on=day(6), channel="stall")
    line = SaleLine.objects.create(
        deed=deed, sale=sale, position=1, lot=lot, amount=D(1)
    )
    return Movement.objects.create(
        deed=deed,
        lot=lot,
        place=Place.objects.get(name="workshop"),
        amount=D(-1),
        kind="sold",
        on=day(6),
        sale_line=line,
    )


def test_what_was_sold_past_the_guards_is_named_with_lot_and_entry():
    bottle = make.filled("HS-1")
    note_measurement(lot=bottle, readings=[make.check(False)], **act(5))
    entry = sold_past_the_guards(bottle)
    told, broken = audited()
    assert "of 7 laws do not hold" in broken
    assert f"HS-1: 1 sold on 2026-03-06, entry {entry.pk}" in told


class TestLeftBeforeItWasKnown:
    @pytest.fixture
    def bottle(self):
        lot = make.filled("HS-1")
        make.sale(lot, "2", on=day(3))
        note_measurement(lot=lot, readings=[make.check(False)], **act(5))
        return lot

    def test_it_is_no_breach_and_told_apart_with_who_has_it(self, bottle):
        told, broken = audited()
        assert broken == ""
        assert "HS-1: 2 sold on 2026-03-03" in told
        assert "The Tin Lantern. It left before it was known" in told

    def test_it_stands_on_the_page_until_an_owner_answers(self, desk, bottle):
        page = desk.get(reverse("lot", args=["HS-1"])).content.decode()
        assert "Left before it was known" in page
        entry = bottle.movements.get(kind="sold")
        with make.refused("Only an owner"):
            answer_for(movement=entry, **act(6, by=make.maker(), reason="told her"))
        with make.refused("Write the reason"):
            answer_for(movement=entry, **act(6))
        answer_for(movement=entry, **act(6, reason="she poured it away"))
        page = desk.get(reverse("lot", args=["HS-1"])).content.decode()
        assert "Left before it was known" not in page
        assert "It left before it was known" not in audited()[0]
        with make.refused("is answered already"):
            answer_for(movement=entry, **act(6, reason="again"))

    def test_potash_corrected_later_is_found_the_same_way(self):
        soap = make.filled("HS-2")
        make.sale(soap, on=day(3))
        source = soap.batch.movements.get(lot__item__name="diluted soap").lot
        note_measurement(lot=source, readings=[make.check(False)], **act(5))
        told, broken = audited()
        assert broken == ""
        assert "HS-2: 1 sold on 2026-03-03" in told


def past(*events):
    head = {"format": "kettlebook-history", "version": 1, "currency": "USD"}
    return json.dumps({**head, "events": list(events)})


OPENED = {
    "type": "opening",
    "date": "2026-01-04",
    "lot": "F1",
    "item": "hand wash",
    "kind": "made",
    "amount": "20",
    "unit": "piece",
    "value": None,
}
SOLD = {
    "type": "sale",
    "date": "2026-01-08",
    "number": "S-1",
    "channel": "stall",
    "customer": None,
    "lines": [{"lot": "F1", "amount": "2", "unit_price": "9.00"}],
}


def failed(on):
    return {
        "type": "measurement",
        "date": on,
        "lot": "F1",
        "what": "neutrality",
        "passed": False,
    }


def taken_in(monkeypatch, *events):
    monkeypatch.setattr("sys.stdin", io.StringIO(past(*events)))
    out = StringIO()
    call_command("import_history", "-", stdout=out)
    return out.getvalue()


class TestAPast:
    def test_without_a_check_it_is_told_apart_and_breaks_nothing(self, monkeypatch):
        assert "failed" not in taken_in(monkeypatch, OPENED, SOLD)
        told, broken = audited()
        assert broken == ""
        assert "F1: 2 sold on 2026-01-08" in told
        assert "no check is on file" in told

    def test_a_failure_by_its_date_before_a_sale_is_said_and_breaks_the_law(
        self, monkeypatch
    ):
        said = taken_in(monkeypatch, OPENED, failed("2026-01-06"), SOLD)
        assert "F1 was sold on 2026-01-08 (stall)" in said
        assert "failed on 2026-01-06" in said
        told, broken = audited()
        assert "of 7 laws do not hold" in broken
        assert "F1: 2 sold on 2026-01-08" in told

    def test_a_failure_after_the_sale_does_not(self, monkeypatch):
        assert "failed" not in taken_in(monkeypatch, OPENED, SOLD, failed("2026-01-10"))
        assert audited()[1] == ""

    def test_what_an_owner_vouches_for_is_told_apart_and_may_be_sold(self, monkeypatch):
        taken_in(monkeypatch, OPENED)
        lot = make.Lot.objects.get(code="F1")
        with make.refused("No neutrality check"):
            make.sale(lot, on=day(3), customer=None, channel="stall")
        note_tested_before(
            lots=[lot],
            tested=day(1),
            how="drop test, top and bottom",
            written="notebook 3, page 40",
            **act(3),
        )
        make.sale(lot, on=day(3))
        told, broken = audited()
        assert broken == ""
        assert "F1: tested before this book" in told
