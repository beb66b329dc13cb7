"""What is read and seen while soap is made, and what follows from a passed check."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

from production.actions.deeds import deed, ensure_valid
from production.actions.lots import Reading, note_readings, set_status, weighed_again
from production.actions.people import owner_only, reason_asked
from production.domain.chemistry.titration import mentions_tongue
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
    VersionCheck,
)
from production.reads.stock import status_on
from production.reads.trials import not_seen_yet

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
    for reading in readings:
        _never_by_tongue(reading.note)
    readings = [_held_to_limits(reading, lot, batch) for reading in readings]
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


def _held_to_limits(reading: Reading, lot: Lot | None, batch: Batch | None) -> Reading:
    """Passed or not, where the recipe sets limits and the reading left it open."""
    made_by = batch or (lot.batch if lot is not None else None)
    if reading.value is None or reading.passed is not None or made_by is None:
        return reading
    limit = VersionCheck.objects.filter(
        version=made_by.version_id, what=reading.what
    ).first()
    if limit is None or (limit.low is None and limit.high is None):
        return reading
    low = limit.low is None or limit.low <= reading.value
    high = limit.high is None or reading.value <= limit.high
    return replace(reading, passed=low and high)


def _never_by_tongue(text: str) -> None:
    if mentions_tongue(text):
        raise Refused(
            "Lye is never tested by tongue: it burns, and it proves nothing. Dissolve "
            "a sample in alcohol and add phenolphthalein, or titrate it, and note what "
            "that says."
        )


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
    """Take a reading over from an earlier book: it releases nothing by itself.

    What was written about a test by tongue stays, word for word; but a check passed
    by one would stand behind a release, and is none.
    """
    for reading in readings:
        if reading.passed and mentions_tongue(reading.note):
            raise Refused(
                f"The {reading.what} check of {lot or batch} was passed by tongue: "
                "that is no check. Take its note over without the verdict, and test "
                "again."
            )
    note_readings(deed, tuple(readings), lot=lot, batch=batch)


def earliest_release(lot: Lot) -> date:
    """The first day on which a made lot may be released: the day made plus its rest."""
    entry = lot.movements.standing().filter(kind=KIND.MADE).first()
    made = entry.on if entry else lot.deed.on
    version = lot.batch.version if lot.batch_id else None
    return made + timedelta(days=version.rest_days if version else 0)


@deed("note a step", gives=Step)
def note_step(deed: Deed, *, batch: Batch, text: str, look: str = "") -> Step:
    """``look`` is one of Step.Look, where the batch was looked at again."""
    return write_step(deed, batch, text, look)


@deed("record a step", gives=Step)
def record_step(deed: Deed, *, batch: Batch, text: str, look: str = "") -> Step:
    """Take a step over from an earlier book, word for word."""
    return _keep_step(deed, batch, text, look)


def write_step(deed: Deed, batch: Batch, text: str, look: str = "") -> Step:
    """What was done or seen, within a deed."""
    _never_by_tongue(text)
    return _keep_step(deed, batch, text, look)


def _keep_step(deed: Deed, batch: Batch, text: str, look: str) -> Step:
    row = Step(deed=deed, batch=batch, text=text, look=look, on=deed.on)
    ensure_valid(row)
    row.save()
    return row


@deed("accept a trial", gives=Promotion)
def promote_trial(deed: Deed, *, batch: Batch, past: bool = False) -> Promotion:
    """Let the lot of a trial be sold from now on: it was looked at, and measured.

    ``past`` is taken over from an earlier book, whose own hand judged it.
    """
    owner_only(deed.by, "accept a trial")
    if not batch.trial:
        raise Refused(f"{batch} is no trial.")
    reason_asked(deed, "accepting a trial")
    if Promotion.objects.filter(batch=batch).exists():
        raise Refused(f"{batch} is accepted already.")
    if not past and (missing := not_seen_yet(batch, deed.on)):
        raise Refused(f"{batch} is not accepted yet. {' '.join(missing)}")
    row = Promotion(deed=deed, batch=batch)
    ensure_valid(row)
    row.save()
    return row
