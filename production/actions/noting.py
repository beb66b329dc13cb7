"""What is read and seen while soap is made, and what follows from a passed check."""

from collections.abc import Sequence
from datetime import date, timedelta

from production.actions.deeds import deed, ensure_valid
from production.actions.lots import Reading, note_readings, set_status, weighed_again
from production.actions.people import owner_only, reason_asked
from production.domain.refusal import Refused
from production.models import (
    Batch,
    Deed,
    Lot,
    Measurement,
    Movement,
    Promotion,
    Status,
    Step,
    Version,
)
from production.reads.stock import status_on

KIND = Movement.Kind
NEUTRALITY = Measurement.What.NEUTRALITY


@deed("note a measurement")
def note_measurement(
    deed: Deed,
    *,
    readings: Sequence[Reading],
    lot: Lot | None = None,
    batch: Batch | None = None,
) -> None:
    """Write down what was read. A passed neutrality check releases where asked."""
    if lot is None and batch is None:
        raise Refused("Say of which lot or batch this was measured.")
    if lot is not None and (later := weighed_again(lot, deed.on)):
        raise Refused(
            f"{lot} was weighed again on {later} and its values restated. Date this "
            "reading then or later, or take the weighing back first."
        )
    note_readings(deed, tuple(readings), lot=lot, batch=batch)
    neutral = any(row.passed and row.what == NEUTRALITY for row in readings)
    failed = any(reading.passed is False for reading in readings)
    version = lot.batch.version if lot is not None and lot.batch_id else None
    if lot is None or version is None or version.release != Version.Release.CHECK:
        return
    rested = deed.on >= earliest_release(lot)
    waiting = status_on(lot, deed.on) == Status.Word.QUARANTINE
    ready = rested and waiting and packed_since(lot, deed.on) is None
    if neutral and not failed and ready and latest_check(lot).passed:
        set_status(deed, lot, Status.Word.RELEASED)


def packed_since(lot: Lot, on: date) -> Movement | None:
    """Packaging that went onto a made lot after that day."""
    used = lot.batch.movements.standing().filter(kind=KIND.USED, on__gt=on)
    return used.order_by("-on").first()


def latest_check(lot: Lot) -> Measurement | None:
    """The neutrality check that decides: the latest of a made lot or its batch."""
    checks = Measurement.objects.filter(passed__isnull=False, what=NEUTRALITY)
    of_both = checks.filter(lot=lot) | checks.filter(batch=lot.batch_id)
    return of_both.order_by("-on", "-id").first()


@deed("record a measurement")
def record_measurement(
    deed: Deed,
    *,
    readings: Sequence[Reading],
    lot: Lot | None = None,
    batch: Batch | None = None,
) -> None:
    """Take a reading over from an earlier book: it releases nothing by itself."""
    note_readings(deed, tuple(readings), lot=lot, batch=batch)


def earliest_release(lot: Lot) -> date:
    """The first day on which a made lot may be released: the day made plus its rest."""
    entry = lot.movements.standing().filter(kind=KIND.MADE).first()
    made = entry.on if entry else lot.deed.on
    version = lot.batch.version if lot.batch_id else None
    return made + timedelta(days=version.rest_days if version else 0)


@deed("note a step", gives=Step)
def note_step(deed: Deed, *, batch: Batch, text: str) -> Step:
    return write_step(deed, batch, text)


def write_step(deed: Deed, batch: Batch, text: str) -> Step:
    """What was done or seen, within a deed."""
    row = Step(deed=deed, batch=batch, text=text, on=deed.on)
    ensure_valid(row)
    row.save()
    return row


@deed("promote a trial", gives=Promotion)
def promote_trial(deed: Deed, *, batch: Batch) -> Promotion:
    """Let the lot of a trial be sold from now on."""
    owner_only(deed.by, "promote a trial")
    if not batch.trial:
        raise Refused(f"{batch} is no trial.")
    reason_asked(deed, "promoting a trial")
    if Promotion.objects.filter(batch=batch).exists():
        raise Refused(f"{batch} is promoted already.")
    row = Promotion(deed=deed, batch=batch)
    ensure_valid(row)
    row.save()
    return row
