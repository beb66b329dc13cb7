"""Taking a whole deed back: the book stands as it would without it."""

from collections.abc import Sequence
from uuid import uuid4

from production.batches.actions.balancing import judge_again
from production.correcting.actions.codes_put_back import stand_again
from production.correcting.actions.entries import made_of_something, soap_stays_in
from production.correcting.actions.restating import put_back
from production.correcting.reads.later_deeds import (
    Begun,
    all_resting_on,
    line_of,
    mended_since,
    opened_by,
    something_left,
)
from production.quantities.domain.refusal import Refused
from production.record.actions.deeds import STAYS, deed
from production.record.actions.people import not_above_oneself, owner_only
from production.record.models.ink import Deed
from production.release.actions.statuses import free_again
from production.stock.actions.posting import Entry, entered_again, mirror, post
from production.stock.domain.checks import OF_ALKALI
from production.stock.models.batches import Loss, Work
from production.stock.models.holds import Hold
from production.stock.models.lots import Lot, Movement, Status
from production.stock.models.readings import CheckTakenBack, Measurement

KIND, WORD = Movement.Kind, Status.Word
MOST_NAMED = 5


@deed(
    Deed.UNDO,
    stays="What was taken back is not brought back: enter it again, under its own "
    "code and number if you like.",
)
def undo_deed(deed: Deed, *, undone: Deed, along: bool = False) -> None:
    """Take back all that a deed wrote, with the corrections of it.

    An entry that it put right is again what it was before. Refused while later deeds
    rest on it, unless they are taken ``along``, the newest first.
    """
    later = all_resting_on(undone)
    if later and not along:
        lone = len(later) == 1
        raise Refused(
            f"{_named(later)} {'rests' if lone else 'rest'} on it. Take "
            f"{'that' if lone else 'these'} back first, the newest first; or tick that "
            f"{'it goes' if lone else 'they go'} with it."
        )
    goes = opened_by(undone)
    for one in later:
        _take_back(_signed_for(deed, one), one, goes)
    _take_back(deed, undone, goes)


def _named(deeds: Sequence[Deed]) -> str:
    names = [f"'{one.verb}' of {one.on}" for one in deeds[:MOST_NAMED]]
    if (more := len(deeds) - MOST_NAMED) > 0:
        names.append(f"{more} more")
    return ", ".join(names)


def _signed_for(deed: Deed, undone: Deed) -> Deed:
    """The taking back of one more deed, by the same hand and for the same reason."""
    return Deed.objects.create(
        key=f"undo:{uuid4()}",
        verb=deed.verb,
        on=deed.on,
        by=deed.by,
        reason=deed.reason,
        undoes=undone,
    )


def _take_back(deed: Deed, undone: Deed, goes: Begun) -> None:
    mended = list(mended_since(undone).order_by("-pk"))
    not_above_oneself(deed.by, undone, *mended)
    _may_be_taken_back(deed, undone, goes)
    gone = list(line_of(undone).order_by("-id"))
    restored = _as_before(undone)
    stand_again(restored)
    losses = list(Loss.written.filter(deed=undone).select_related("batch"))
    if not restored:
        soap_stays_in(gone)
    for one in mended:
        # Whatever else a correction wrote counts no more; its entries go below.
        _signed_for(deed, one)
        put_back(one)
    post(deed, [*(mirror(row) for row in gone), *restored])
    if not restored:
        made_of_something(gone)
    _hours_back(deed, undone)
    for lot in Lot.objects.filter(batch__holds__deed=undone):
        # It was born held, by a cause that is gone.
        free_again(deed, lot)
    reached = put_back(undone)
    reached |= {row.batch for row in [*gone, *losses, *restored] if row.batch}
    for batch in reached:
        judge_again(deed, batch)


def _may_be_taken_back(deed: Deed, undone: Deed, goes: Begun) -> None:
    says = STAYS.get(undone.verb)
    if says and not _strikes_a_check_of(undone, goes):
        raise Refused(f"'{undone.verb}' of {undone.on} is not taken back. {says}")
    if not something_left(undone):
        raise Refused("Nothing of it is left to take back.")
    _checks_have_a_page(deed, undone, goes)
    stopped = Status.written.filter(deed=undone, status__in=[WORD.HELD, WORD.REJECTED])
    if stopped.exists() or Hold.written.filter(deed=undone).exists():
        owner_only(deed.by, "take back a hold or a rejection")


def _strikes_a_check_of(undone: Deed, goes: Begun) -> bool:
    """A check that was taken back of what goes altogether: nothing is left to say."""
    lots, batches = goes
    struck = CheckTakenBack.objects.filter(deed=undone).select_related("measurement")
    checks = [row.measurement for row in struck]
    return bool(checks) and all(
        check.lot in lots or check.batch in batches for check in checks
    )


def _checks_have_a_page(deed: Deed, undone: Deed, goes: Begun) -> None:
    """Only a check of what goes altogether goes with it."""
    lots, batches = goes
    checks = Measurement.written.filter(
        deed=undone, passed__isnull=False, what__in=OF_ALKALI
    )
    for check in checks.select_related("lot", "batch", "taken_back"):
        goes_too = check.lot in lots or check.batch in batches
        if hasattr(check, "taken_back"):
            if not goes_too:
                raise Refused(
                    f"The check of {check.lot or check.batch} was taken back already, "
                    "and its mark stays."
                )
            continue
        if not goes_too:
            raise Refused(
                "A check is taken back on a page of its own: open "
                f"{check.lot or check.batch} and choose 'Take it back' beside it, "
                "under Checks and readings."
            )
        if not check.passed:
            owner_only(deed.by, "take back a failed check")


def _as_before(undone: Deed) -> list[Entry]:
    """Entries anew of what this deed had taken back."""
    rows = Movement.objects.filter(deed=undone, kind=KIND.REVERSED)
    return [entered_again(row.reverses) for row in rows.select_related("reverses")]


def _hours_back(deed: Deed, undone: Deed) -> None:
    for work in Work.objects.unreversed().filter(deed=undone):
        Work.objects.create(
            deed=deed,
            batch=work.batch,
            kind=work.kind,
            hours=-work.hours,
            rate=work.rate,
            person=work.person,
            equipment=work.equipment,
            power=work.power,
            reverses=work,
            on=work.on,
        )
