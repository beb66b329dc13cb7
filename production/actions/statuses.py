"""Release, hold, reject: the words of cosmetics GMP on a lot."""

from production.actions.deeds import deed
from production.actions.lots import set_status
from production.actions.noting import earliest_release, packed_since
from production.actions.people import owner_only, reason_asked
from production.domain.refusal import Refused
from production.models import Deed, Lot, Movement, Stage, Status, Version
from production.reads.checks import latest_check
from production.reads.lye import still_caustic
from production.reads.stock import status_on

WORD = Status.Word
# Rework may take a paste whose own check failed.
CHECKED = {Stage.COOK, Stage.REWORK}


@deed("release a lot", gives=Status)
def release_lot(deed: Deed, *, lot: Lot, override: bool = False) -> Status:
    """Let a lot be used or sold.

    An owner's override with a reason reaches rest days; never a failed or missing
    neutrality check, and never a rejection.
    """
    Lot.objects.locked([lot.pk])
    now = _status_of(lot, deed, WORD.RELEASED)
    _packed_by_then(deed, lot)
    if now == WORD.RELEASED:
        raise Refused(f"{lot} is released already.")
    if now == WORD.REJECTED:
        raise Refused(f"{lot} is rejected. Rework it into a new lot, or discard it.")
    if now == WORD.HELD:
        owner_only(deed.by, "release a lot that is held")
        reason_asked(deed, f"releasing {lot}, which is held")
    cut = lot.batch_id is not None and _judge_made(deed, lot, override)
    return set_status(deed, lot, WORD.RELEASED, override=cut)


def _status_of(lot: Lot, deed: Deed, word: str) -> str:
    """What it is on that day; a word typed late must not contradict a later one."""
    now = status_on(lot, deed.on)
    later = lot.statuses.filter(on__gt=deed.on).first()
    if now and later and later.status != word:
        raise Refused(
            f"{lot} was {later.status} on {later.on}. Date this then or later."
        )
    if not now:
        raise Refused(
            f"{lot} was not in the book on {deed.on}. Choose the day it came, or later."
        )
    return now


def _nothing_left_since(deed: Deed, lot: Lot) -> None:
    """A word that stops a lot cannot be dated before what was done with it."""
    kinds = [Movement.Kind.USED, Movement.Kind.SOLD, Movement.Kind.GIVEN]
    since = lot.movements.standing().filter(kind__in=kinds, on__gt=deed.on)
    if last := since.order_by("-on").first():
        raise Refused(
            f"{lot} was {last.kind} on {last.on}. Date this then or later, or take "
            "that back first."
        )


def _packed_by_then(deed: Deed, lot: Lot) -> None:
    """Packaging came on before the lot was released."""
    if lot.batch_id and (last := packed_since(lot, deed.on)):
        raise Refused(
            f"{last.lot} went onto {lot} on {last.on}: release it then or later."
        )


def _judge_made(deed: Deed, lot: Lot, override: bool) -> bool:
    """Whether a rest was cut short."""
    _judge_neutrality(deed, lot)
    ready = earliest_release(lot)
    if deed.on >= ready:
        return False
    if not override:
        raise Refused(
            f"{lot} rests until {ready}. Wait, or let an owner release it with a "
            "reason."
        )
    owner_only(deed.by, "cut a rest short")
    reason_asked(deed, f"cutting the rest of {lot} short")
    return True


def _judge_neutrality(deed: Deed, lot: Lot) -> None:
    """The latest check decides; lye in the pot, or a recipe that asks, needs one."""
    version = lot.batch.version
    if version is not None and version.lye_excess:
        # Lye-heavy by intent: it is only diluted, and checked once it is neutralised.
        return
    asks = version is not None and version.release == Version.Release.CHECK
    asks = asks or lot.batch.stage in CHECKED
    latest = latest_check(lot)
    if latest is None:
        if asks or still_caustic(lot, deed.on):
            raise Refused(
                f"No neutrality check of {lot} is in the book. Test it and note the "
                "result before it is released."
            )
    elif not latest.passed:
        raise Refused(
            f"The neutrality check of {lot} failed. Cook on or correct it as your "
            "recipe says, and test it again; free alkali burns skin and eyes."
        )
    elif still_caustic(lot, deed.on):
        raise Refused(
            f"The neutrality check of {lot} is older than what went into it since. "
            "Test it again and note the result before it is released."
        )


@deed("hold a lot", gives=Status)
def hold_lot(deed: Deed, *, lot: Lot) -> Status:
    """Stop a lot: nothing is used or sold from it until it is released again."""
    reason_asked(deed, f"holding {lot}")
    if _status_of(lot, deed, WORD.HELD) == WORD.REJECTED:
        raise Refused(f"{lot} is rejected already.")
    _nothing_left_since(deed, lot)
    return set_status(deed, lot, WORD.HELD)


@deed("reject a lot", gives=Status)
def reject_lot(deed: Deed, *, lot: Lot) -> Status:
    """Say that a lot is not good; it can only be reworked, sampled or discarded."""
    owner_only(deed.by, "reject a lot")
    reason_asked(deed, f"rejecting {lot}")
    _status_of(lot, deed, WORD.REJECTED)
    _nothing_left_since(deed, lot)
    return set_status(deed, lot, WORD.REJECTED)


@deed("record a status", gives=Status)
def record_status(deed: Deed, *, lot: Lot, status: str) -> Status:
    """Take over a status that an earlier book gave; its checks are not on file here."""
    return set_status(deed, lot, status)
