"""What the search found, each as the shortest way there."""

from decimal import Decimal as D

import pytest

from config.audit import audit
from production.batches.actions.batches import run_batch
from production.batches.actions.new_batch import Output, Use
from production.contents.reads.contents import contents_of
from production.exchange.actions.replaying import import_history
from production.fitness.reads.holds import causes_of
from production.models import Lot
from production.release.actions.readings import note_measurement
from production.release.actions.statuses import hold_lot, reject_lot, release_lot
from production.release.actions.taking_back import take_back_check
from production.selling.actions.sales import NewSaleLine, sell
from production.stock.actions.opening_lots import Reading
from production.stock.reads.stock import status_on
from tests import make
from tests.make import act, day
from tests.production.history_cases import file_of

pytestmark = pytest.mark.django_db


def stocked():
    """Oil with its value off the certificate, flakes, water."""
    sv = Reading("saponification value", D(187), "stated")
    oil = make.item("rapeseed oil", category="oil")
    return (
        make.lot("OIL", grams="9000", item=oil, readings=(sv,)),
        make.koh(code="KOH"),
        make.lot("WATER", grams="9000", item=make.item("water", category="water")),
    )


def run(stage, makes, amount, uses, *, on=2, by=None, **facts):
    return run_batch(
        stage=stage,
        uses=[Use(lot=lot, amount=D(grams)) for lot, grams in uses],
        output=Output(D(amount), make.item(makes, kind="made")),
        **act(on, by=by, reason="it was so", **facts),
    )


def passed_paste(oil, koh, water, potash=140):
    pot = [(oil, 700), (koh, potash), (water, 400)]
    paste = run("cook", "paste", 700 + potash + 400, pot)
    note_measurement(lot=paste, readings=[make.check()], **act(2))
    release_lot(lot=paste, **act(2))
    return paste


def test_a_paste_that_lost_nothing_has_a_superfat_all_the_same():
    paste = passed_paste(*stocked())
    assert contents_of(paste).superfat is not None


def test_a_purity_restated_downward_leaves_the_pass_standing():
    oil, koh, water = stocked()
    paste = passed_paste(oil, koh, water)
    soap = run("dilution", "soap", 1200, [(paste, 600), (water, 600)])
    weaker = Reading("purity", D("0.85"))
    note_measurement(lot=koh, readings=[weaker], **act(2))
    assert run("finishing", "soap", 100, [(soap, 100)])


def a_file_with_a_sale(passed=None):
    """Twenty bottles from before, their check or none, and one of them sold."""
    day = {"date": "2026-03-02"}
    events = [
        {"type": "opening", "lot": "OLD", "item": "old bottle", "unit": "piece"}
        | {"kind": "made", "amount": "20", **day}
    ]
    if passed is not None:
        check = {"type": "measurement", "lot": "OLD", "what": "neutrality", **day}
        events.append(check | {"passed": passed})
    line = {"lot": "OLD", "amount": "1", "unit_price": "9"}
    sale = {"type": "sale", "number": "S-1", "lines": [line], "channel": "stall", **day}
    import_history(text=file_of([*events, sale | {"customer": None}]))
    return Lot.objects.get(code="OLD")


def fitness_law():
    return next(row for row in audit() if row.law == "Nothing alkaline left untested")


@pytest.mark.parametrize("in_the_file", [None, True])
def test_a_failure_typed_since_is_no_breach_of_a_past_that_was_taken_in(in_the_file):
    lot = a_file_with_a_sale(in_the_file)
    note_measurement(lot=lot, readings=[make.check(False)], **act(2))
    found = fitness_law()
    assert found.faults == []
    assert any("left before it was known" in line for line in found.apart)


def test_a_failure_in_the_file_against_its_sale_stays_a_breach():
    a_file_with_a_sale(False)
    assert fitness_law().faults


def test_soap_from_outside_is_cooked_on_while_it_is_rejected():
    oil, *_ = stocked()
    kind = make.item("bought paste", category="soap")
    paste = make.lot("PASTE", item=kind)
    reject_lot(lot=paste, **act(2, reason="it smells"))
    run("cook", "paste", 150, [(paste, 100), (oil, 50)])
    assert [fault for finding in audit() for fault in finding.faults] == []


def test_a_pass_taken_back_for_an_earlier_day_leaves_what_was_used_in_order():
    oil, koh, water = stocked()
    paste = passed_paste(oil, koh, water)
    run("dilution", "soap", 1200, [(paste, 600), (water, 600)], on=4)
    check = paste.measurements.get()
    take_back_check(measurement=check, **act(2, reason="another pot"))
    assert status_on(paste, day(4)) == "quarantine"
    assert [fault for finding in audit() for fault in finding.faults] == []


def test_releasing_a_dilution_leaves_the_hold_of_its_paste_standing():
    oil, koh, water = stocked()
    paste = passed_paste(oil, koh, water)
    soap = run("dilution", "soap", 1200, [(paste, 600), (water, 600)])
    hold_lot(lot=paste, **act(2, reason="a complaint"))
    own = list(soap.holds.all())
    release_lot(lot=soap, lifts=own, **act(3, reason="it was not of this"))
    assert status_on(soap, day(3)) == "released"
    assert [hold.lot for hold in causes_of(paste)] == [paste]


def test_a_dilution_released_of_every_cause_frees_no_rework_of_its_paste():
    oil, koh, water = stocked()
    paste = passed_paste(oil, koh, water)
    soap = run("dilution", "soap", 1200, [(paste, 600), (water, 600)])
    hold_lot(lot=paste, **act(2, reason="a complaint"))
    release_lot(lot=soap, **act(3, reason="it was not of this"))
    mended = run("rework", "paste", 200, [(paste, 200)], on=3)
    with make.refused("made from", "which is held", "a complaint"):
        run("dilution", "soap", 400, [(mended, 200), (water, 200)], on=3)


def test_lye_that_is_called_a_cook_is_no_soap_and_passes_no_check():
    _, koh, water = stocked()
    lye = run("cook", "paste", 600, [(koh, 200), (water, 400)])
    with make.refused("no fat is in it"):
        note_measurement(lot=lye, readings=[make.check()], **act(2))
    release_lot(lot=lye, **act(2))
    line = NewSaleLine(lye, D(1), D(9))
    with make.refused("an alkali as such"):
        sell(lines=[line], channel="stall", **act(2))


def test_alkali_with_acid_that_is_called_a_cook_waits_for_its_ph():
    _, koh, water = stocked()
    acid = make.lot("ACID", item=make.item("citric acid", category="acid"))
    salt = run("cook", "paste", 400, [(koh, 100), (acid, 100), (water, 200)])
    note_measurement(lot=salt, readings=[make.check()], **act(2))
    with make.refused("note its pH"):
        release_lot(lot=salt, **act(2))
