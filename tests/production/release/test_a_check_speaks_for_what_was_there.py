"""A neutrality check clears what was in the pot when it was made, and nothing since.

Caustic soap of a declared excess; free alkali burns skin and eyes.
"""

from decimal import Decimal as D

import pytest

from production.batches.actions.batches import make_lot, start_batch, use_lots
from production.batches.actions.new_batch import Output, Use
from production.correcting.actions.entries import correct_movement, reverse_movement
from production.lots.actions.lot_deeds import give
from production.quantities.domain.refusal import Refused
from production.release.actions.readings import note_measurement
from production.release.actions.statuses import release_lot
from tests import make
from tests.once import remembered
from tests.production.testing import still_open

pytestmark = pytest.mark.django_db


@pytest.fixture
@remembered
def paste(owner):
    for name in ("diluted soap", "finished soap", "bulk"):
        make.item(name, kind="made")
    version = make.version(superfat=D("-0.02"), lye_excess=True)
    made = make.cook(version=version, code="PASTE", reason="weighed warm")
    release_lot(lot=made, **make.act(2))
    return made


def check(number, passed=True, **of):
    note_measurement(readings=[make.check(passed)], **of, **make.act(number))


def pour(batch, paste, grams, number):
    use = Use(D(grams), paste)
    use_lots(batch=batch, uses=[use], **make.act(number))


def made(batch, grams, number):
    output = Output(D(grams), make.item("diluted soap", kind="made"))
    return make_lot(batch=batch, output=output, **make.act(number))


def is_stopped(lot, number):
    """Neither released as neutral, nor finished."""
    assert still_open(lot, make.day(number))
    with pytest.raises(Refused):
        make.batch(
            "finishing",
            uses=[(lot, "50")],
            makes="finished soap",
            amount="50",
            on=make.day(number),
        )


@pytest.mark.parametrize("stage", ["dilution", "rework"])
def test_a_check_of_an_empty_pot_clears_nothing(paste, stage):
    batch = start_batch(stage=stage, **make.act(2))
    check(2, batch=batch)
    pour(batch, paste, 300, 3)
    is_stopped(made(batch, 300, 4), 5)


def test_a_check_clears_no_paste_that_comes_later(paste):
    batch = start_batch(stage="dilution", **make.act(2))
    pour(batch, paste, 1, 3)
    check(4, batch=batch)
    pour(batch, paste, 300, 5)
    is_stopped(made(batch, 301, 6), 7)


def test_a_lot_made_anew_is_checked_anew(paste):
    thin = make.item("diluted soap", kind="made")
    mild = make.lot("N1", item=thin, readings=(make.check(),))
    soap = make.batch(
        uses=[(mild, "100")], makes="bulk", amount="100", on=make.day(3), code="SOAP"
    )
    check(3, lot=soap)
    making = soap.movements.get(kind="made")
    reverse_movement(movement=making, **make.act(4, reason="wrong"))
    pour(soap.batch, paste, 300, 5)
    output = Output(D(400), make.item("bulk", kind="made"), status="released")
    again = make_lot(batch=soap.batch, output=output, **make.act(6))
    assert again.pk == soap.pk
    is_stopped(again, 7)


def test_a_check_dated_before_the_making_clears_nothing(paste):
    soap = make.batch(uses=[(paste, "300")], amount="300", on=make.day(5), tested=False)
    check(3, lot=soap)
    is_stopped(soap, 6)


def test_a_making_that_is_moved_past_its_check_is_checked_anew(paste):
    soap = make.batch(uses=[(paste, "300")], amount="300", on=make.day(3), tested=False)
    check(4, lot=soap)
    assert not still_open(soap)
    for entry in (
        soap.movements.get(kind="made"),
        soap.batch.movements.standing().get(kind="used"),
    ):
        correct_movement(
            movement=entry,
            amount=D(300),
            moved_to=make.day(6),
            **make.act(7, reason="x"),
        )
    is_stopped(soap, 8)


def test_a_check_of_the_day_it_was_poured_counts_when_noted_after_it(paste):
    batch = start_batch(stage="dilution", **make.act(3))
    pour(batch, paste, 300, 3)
    check(3, batch=batch)
    assert not still_open(made(batch, 300, 3))


def test_bottles_and_labels_that_come_on_later_leave_the_check_standing(paste):
    soap = make.batch(uses=[(paste, "300")], amount="300", on=make.day(3), tested=False)
    check(4, lot=soap)
    filled = make.batch(
        "filling",
        uses=[(soap, "250"), (make.bottles(pieces="5"), "1")],
        makes="hand soap 250",
        unit="piece",
        amount="1",
        net_mass=D(250),
        status="",
        on=make.day(5),
    )
    check(5, lot=filled)
    label = make.lot("LAB", item=make.item("label", kind="packaging", unit="piece"))
    use = Use(D(1), label)
    use_lots(batch=filled.batch, uses=[use], **make.act(6))
    assert not still_open(filled, make.day(7))


def test_a_sample_for_a_named_person_is_not_caustic(paste):
    with make.refused("declared lye excess"):
        give(lot=paste, amount=D(5), why="sample", recipient="Mrs Smith", **make.act(3))
    give(lot=paste, amount=D(5), why="sample", **make.act(3))
