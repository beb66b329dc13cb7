"""Taking back a check that should never have stood there; it leaves its mark."""

from typing import Any

from production.fitness.actions.guards import came_with_a_past
from production.fitness.reads import cleared_without
from production.quantities.domain.refusal import Refused
from production.record.actions.deeds import deed, written
from production.record.actions.people import is_owner, owner_only, reason_asked
from production.record.models.ink import Deed
from production.release.reads.checks import twins_of
from production.stock.actions.opening_lots import Reading, note_readings, set_status
from production.stock.domain.checks import OF_ALKALI
from production.stock.models.lots import Lot, Movement, Status
from production.stock.models.readings import CheckTakenBack, Measurement
from production.stock.reads.stock import latest_status, status_on

WORD, KIND = Status.Word, Movement.Kind
LEAVES = [KIND.USED, KIND.SOLD, KIND.GIVEN]


@deed(
    "take back a check",
    moves_nothing=True,
    gives=CheckTakenBack,
    stays="A check that was taken back does not come back: test again, and note it.",
)
def take_back_check(
    deed: Deed, *, measurement: Measurement, belongs_to: Lot | None = None
) -> CheckTakenBack:
    """Say that a check does not count, and why.

    With a pass goes what it released. Behind a failed one the lot waits for a new
    check; ``belongs_to`` is the lot whose failure it was, which then carries it.
    """
    _is_a_check(measurement)
    reason_asked(deed, "taking the check back")
    if deed.on < measurement.on:
        raise Refused(
            f"The check is of {measurement.on}: date its taking back then or later."
        )
    if measurement.passed:
        _may_take_back_a_pass(deed, measurement, belongs_to)
    else:
        _may_take_back_a_failure(deed, measurement, belongs_to)
    row = _strike(deed, measurement, belongs_to)
    if belongs_to is not None:
        _hand_on(deed, measurement, belongs_to)
    elif measurement.passed:
        _back_into_quarantine(deed, measurement)
    return row


@deed(
    "record a check taken back",
    moves_nothing=True,
    gives=CheckTakenBack,
    stays="A check that was taken back does not come back: test again, and note it.",
)
def record_check_taken_back(
    deed: Deed, *, measurement: Measurement, belongs_to: Lot | None = None
) -> CheckTakenBack:
    """Take over that an earlier book took a check back; its lots say how they stood."""
    _is_a_check(measurement)
    of = measurement.lot or measurement.batch
    if not came_with_a_past(of):
        raise Refused(f"{of} is of this book: take its check back on its page.")
    return _write(deed, measurement, belongs_to)


def _is_a_check(measurement: Measurement) -> None:
    if measurement.passed is None or measurement.what not in OF_ALKALI:
        raise Refused(
            f"{measurement} is no check of alkali. A reading is mended by writing the "
            "right one."
        )
    if CheckTakenBack.objects.filter(measurement=measurement).exists():
        raise Refused(f"The check ({measurement}) was taken back already.")


def _may_take_back_a_pass(
    deed: Deed, measurement: Measurement, belongs_to: Lot | None
) -> None:
    noted_by: Any = measurement.deed.by
    if is_owner(noted_by):
        owner_only(deed.by, f"take back a check that {noted_by} noted")
    if belongs_to is not None:
        raise Refused(
            "A pass is not handed on to another lot: take it back, and note the check "
            f"of {belongs_to} by itself."
        )


def _may_take_back_a_failure(
    deed: Deed, measurement: Measurement, belongs_to: Lot | None
) -> None:
    owner_only(deed.by, "take back a failed check")
    if belongs_to is not None:
        _can_be_of(measurement, belongs_to)


def _strike(deed: Deed, measurement: Measurement, of: Lot | None) -> CheckTakenBack:
    """The check itself, and its other half where one deed wrote it in two rows."""
    for twin in twins_of(measurement):
        _write(deed, twin, of)
    return _write(deed, measurement, of)


def _write(deed: Deed, measurement: Measurement, of: Lot | None) -> CheckTakenBack:
    return written(CheckTakenBack(deed=deed, measurement=measurement, belongs_to=of))


def _can_be_of(measurement: Measurement, lot: Lot) -> None:
    if measurement.lot_id == lot.pk or (
        measurement.batch_id and measurement.batch_id == lot.batch_id
    ):
        raise Refused(
            f"The failure stands on {lot} already. Name the lot that it was really of, "
            "or leave this empty."
        )
    if not status_on(lot, measurement.on):
        raise Refused(
            f"{lot} was not in the book on {measurement.on}, the day of the check. "
            "Name the lot that was tested."
        )


def _hand_on(deed: Deed, measurement: Measurement, lot: Lot) -> None:
    """The failure stands on the lot that it was of, on the day of its test."""
    of = measurement.lot or measurement.batch
    said = f"first noted of {of}"
    note = f"{measurement.note}; {said}" if measurement.note else said
    reading = Reading(
        what=measurement.what,
        value=measurement.value,
        basis=measurement.basis,
        passed=False,
        note=note[: Measurement._meta.get_field("note").max_length or 0],
        method=measurement.method,
        where=measurement.where,
    )
    note_readings(deed, (reading,), taken_on=measurement.on, lot=lot)


def _back_into_quarantine(deed: Deed, measurement: Measurement) -> None:
    """Not before what left while it stood released: that was so by the book."""
    lot = released_by(measurement)
    if lot is not None:
        released = latest_status(lot)
        gone = lot.movements.standing().filter(kind__in=LEAVES).order_by("-on").first()
        days = [row.on for row in (released, gone) if row is not None]
        set_status(deed, lot, WORD.QUARANTINE, on=max(deed.on, *days))


def released_by(measurement: Measurement) -> Lot | None:
    """The lot that stands released on the strength of this pass, None where none does.

    That is one whose release was written with the check or after it, and which no
    other check clears.
    """
    lot = measurement.lot
    if lot is None:
        lot = Lot.objects.filter(batch=measurement.batch_id).first()
    if lot is None:
        return None
    now = latest_status(lot)
    if now is None or now.status != WORD.RELEASED or now.deed_id < measurement.deed_id:
        return None
    gone = {measurement.pk, *(row.pk for row in twins_of(measurement))}
    if now.deed_id != measurement.deed_id and cleared_without(lot, gone):
        return None
    return lot
