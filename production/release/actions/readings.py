"""What is read and seen while soap is made, and what follows from a passed check."""

from collections.abc import Sequence
from datetime import date, timedelta

from production.fitness.actions.guards import came_with_a_past, is_cleared
from production.quantities.domain.refusal import Refused
from production.recipes.models.formulas import Version
from production.record.actions.deeds import deed, written
from production.record.actions.wording import (
    never_judged_by_tongue,
    never_noted_by_tongue,
)
from production.record.models.ink import Deed
from production.release.reads.checks import subject_of
from production.release.reads.tested_before import from_before
from production.stock.actions.opening_lots import (
    Reading,
    doubt_readings,
    note_readings,
    set_status,
    weighed_again,
)
from production.stock.domain.checks import is_passed_check, judged, taken_over
from production.stock.models.batches import Batch, Step
from production.stock.models.lots import Lot, Movement, Status
from production.stock.models.readings import Measurement
from production.stock.reads.stock import status_on


@deed("note a measurement", moves_nothing=True)
def note_measurement(
    deed: Deed,
    *,
    readings: Sequence[Reading],
    lot: Lot | None = None,
    batch: Batch | None = None,
) -> None:
    """Write down what was read. A passed check releases where the recipe says so."""
    if lot is None and batch is None:
        raise Refused("Say of which lot or batch this was measured.")
    if lot is not None and (later := weighed_again(lot, deed.on)):
        raise Refused(
            f"{lot} was weighed again on {later} and its values restated. Date this "
            "reading then or later, or take the weighing back first."
        )
    if lot is not None:
        doubt_readings(lot.item, readings)
    rows = write_readings(deed, readings, lot=lot, batch=batch)
    version = lot.batch.version if lot is not None and lot.batch_id else None
    if lot is None or version is None or version.release != Version.Release.CHECK:
        return
    failed = any(row.passed is False for row in rows)
    if failed or not any(is_passed_check(row) for row in rows):
        return
    rested = deed.on >= earliest_release(lot)
    waiting = status_on(lot, deed.on) == Status.Word.QUARANTINE
    ready = rested and waiting and packed_since(lot, deed.on) is None
    if ready and is_cleared(deed, lot):
        set_status(deed, lot, Status.Word.RELEASED)


def write_readings(
    deed: Deed,
    readings: Sequence[Reading],
    *,
    lot: Lot | None = None,
    batch: Batch | None = None,
) -> list[Reading]:
    """Judge readings and write them, within a deed: the one door of the day."""
    subject = subject_of(lot, batch, readings)
    for reading in readings:
        texts = (reading.note, reading.where)
        if reading.passed is None:
            never_noted_by_tongue(*texts)
        else:
            never_judged_by_tongue(*texts, deed.reason)
    rows = [judged(reading, subject) for reading in readings]
    note_readings(deed, tuple(rows), lot=lot, batch=batch)
    return rows


def packed_since(lot: Lot, on: date) -> Movement | None:
    """Packaging that went onto a made lot after that day."""
    used = lot.batch.movements.used().filter(on__gt=on)
    return used.order_by("-on").first()


@deed("record a measurement", moves_nothing=True)
def record_measurement(
    deed: Deed,
    *,
    readings: Sequence[Reading],
    lot: Lot | None = None,
    batch: Batch | None = None,
) -> None:
    """Take a reading over from an earlier book: it releases nothing by itself.

    What was written about a test by tongue stays, word for word; but a check passed
    by one, or over a figure beyond every limit, would stand behind a release, and is
    none.
    """
    subject = subject_of(lot, batch, readings)
    rows = tuple(taken_over(reading, subject) for reading in readings)
    of = lot or batch
    if any(map(is_passed_check, rows)) and not (of and came_with_a_past(of)):
        raise Refused(f"{of} is of this book: note its check on its page.")
    before = any(row.method == Measurement.Method.BEFORE for row in readings)
    if before and (lot is None or not from_before().filter(pk=lot.pk).exists()):
        raise Refused(
            f"{lot or batch} was made in this book: test it and note the result, "
            "instead of a test from before."
        )
    note_readings(deed, rows, lot=lot, batch=batch)


def earliest_release(lot: Lot) -> date:
    """The first day on which a made lot may be released: the day made plus its rest."""
    entry = lot.movements.made().first()
    made = entry.on if entry else lot.deed.on
    version = lot.batch.version if lot.batch_id else None
    return made + timedelta(days=version.rest_days if version else 0)


@deed("note a step", moves_nothing=True, gives=Step)
def note_step(deed: Deed, *, batch: Batch, text: str, look: str = "") -> Step:
    """``look`` is one of Step.Look, where the batch was looked at again."""
    return write_step(deed, batch, text, look)


@deed("record a step", moves_nothing=True, gives=Step)
def record_step(deed: Deed, *, batch: Batch, text: str, look: str = "") -> Step:
    """Take a step over from an earlier book, word for word."""
    return _keep_step(deed, batch, text, look)


def write_step(deed: Deed, batch: Batch, text: str, look: str = "") -> Step:
    """What was done or seen, within a deed."""
    never_noted_by_tongue(text)
    return _keep_step(deed, batch, text, look)


def _keep_step(deed: Deed, batch: Batch, text: str, look: str) -> Step:
    return written(Step(deed=deed, batch=batch, text=text, look=look, on=deed.on))
