"""What was tested before this book began: an owner says so, for many lots at once."""

from collections.abc import Sequence
from datetime import date

from production.quantities.domain.refusal import Refused
from production.record.actions.deeds import deed
from production.record.actions.people import owner_only
from production.record.actions.wording import never_judged_by_tongue
from production.record.models.ink import Deed
from production.release.reads.tested_before import failures_of, from_before
from production.stock.actions.opening_lots import Reading, note_readings
from production.stock.domain.checks import BEFORE, NEUTRALITY
from production.stock.models.lots import Lot


@deed(
    "note what was tested before",
    moves_nothing=True,
    stays="Take back the check of each lot on its page, under Checks and readings.",
)
def note_tested_before(
    deed: Deed, *, lots: Sequence[Lot], tested: date, how: str, written: str
) -> None:
    """Note for filled goods from before this book when and how they were tested.

    ``written`` is where that stands. Never over a failure on file, and never for paste
    or soap by the gram: that is tested anew.
    """
    owner_only(deed.by, "note what was tested before this book")
    if not lots:
        raise Refused("Tick the lots that were tested.")
    if not how.strip() or not written.strip():
        raise Refused("Write how it was tested, and where that was written down.")
    if tested > deed.on:
        raise Refused(f"{tested} is after {deed.on}, the day of this note.")
    never_judged_by_tongue(how, written, deed.reason)
    _were_there_before(lots)
    _no_failure(lots)
    reading = Reading(NEUTRALITY, passed=True, note=how, method=BEFORE, where=written)
    for lot in lots:
        _tested_before_the_book(lot, tested)
        note_readings(deed, (reading,), taken_on=tested, lot=lot)


def _were_there_before(lots: Sequence[Lot]) -> None:
    there = set(from_before().filter(pk__in=[lot.pk for lot in lots]).values_list("pk"))
    for lot in lots:
        if (lot.pk,) in there:
            continue
        if lot.item.unit != lot.item.Unit.PIECE:
            raise Refused(
                f"{lot} is {lot.item}, by the gram: test it today, and note the check. "
                "Only filled goods may have been tested before this book."
            )
        raise Refused(
            f"{lot} is no filled goods from before this book. Leave it out; test it, "
            "and note the check."
        )


def _no_failure(lots: Sequence[Lot]) -> None:
    failures = failures_of(lots)
    for lot in lots:
        if bad := failures.get(lot.pk):
            of = "" if bad.pk == lot.pk else f", from which {lot} came,"
            raise Refused(
                f"A failed check of {bad}{of} is on file: what was tested before does "
                f"not speak against it. Test {lot} anew, and note the check."
            )


def _tested_before_the_book(lot: Lot, tested: date) -> None:
    if tested > lot.deed.at.date():
        raise Refused(
            f"{lot} stood in this book on {tested} already: note that check on its own "
            "page."
        )
