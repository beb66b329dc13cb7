"""Release, hold, reject: the words of cosmetics GMP on a lot, each with its cause."""

from collections.abc import Iterable, Sequence

from django.db.models import Model

from production.contents.reads.open_batches import batches_of
from production.fitness.actions.guards import came_with_a_past, may_be_released
from production.fitness.domain.family import Family
from production.fitness.domain.words import untested
from production.fitness.reads.holds import (
    causes_in,
    causes_of,
    reached_by,
    rejected_inside,
    standing_holds_of,
)
from production.fitness.reads.rows import load
from production.quantities.domain.refusal import Refused
from production.recipes.models.formulas import Version
from production.record.actions.deeds import deed, written
from production.record.actions.people import owner_only, reason_asked
from production.record.models.ink import Deed
from production.release.actions.readings import earliest_release, packed_since
from production.stock.actions.opening_lots import set_status
from production.stock.models.batches import Batch
from production.stock.models.holds import Hold, HoldLifted
from production.stock.models.lots import Lot, Movement, Status
from production.stock.reads.holds import standing_holds
from production.stock.reads.stock import status_on

WORD = Status.Word
EARLIER = "held in the earlier book"


@deed("release a lot", moves_nothing=True, gives=Status)
def release_lot(
    deed: Deed,
    *,
    lot: Lot,
    override: bool = False,
    lifts: Sequence[Hold] | None = None,
    also: Iterable[Lot] = (),
    batches: Iterable[Batch] = (),
) -> Status | Deed:
    """Let a lot be used or sold; while a cause is left, the deed is all it gives.

    ``lifts`` are the causes that are answered, all of them unless told; while one
    stands the lot stays held. ``also`` are lots that were held for the same causes:
    they are again what they were before; ``batches`` are open ones that were. An
    owner's override with a reason reaches rest days; never a failed or missing
    neutrality check, and never a rejection.
    """
    now = _status_of(lot, deed, WORD.RELEASED)
    _packed_by_then(deed, lot)
    if now == WORD.REJECTED:
        raise Refused(f"{lot} is rejected. Rework it into a new lot, or discard it.")
    rows = load([lot])
    family = rows.family(deed.on)
    causes = causes_in(rows, family, lot)
    if now == WORD.RELEASED and not causes:
        raise Refused(f"{lot} is released already.")
    if now == WORD.HELD or causes:
        owner_only(deed.by, "release a lot that is held")
        reason_asked(deed, f"releasing {lot}, which is held")
    answered = causes if lifts is None else list(lifts)
    left = [cause for cause in causes if cause not in answered]
    if left and not answered:
        raise Refused(f"{lot} is still held: {left[0].cause}. Say which is answered.")
    if not left:
        cut = lot.batch_id is not None and _judge_made(deed, lot, family, override)
    _lift(deed, answered)
    for other in also:
        _give_back(deed, other, answered)
    _lift(deed, _same(standing_holds_of(batches), answered))
    return deed if left else set_status(deed, lot, WORD.RELEASED, override=cut)


def _lift(deed: Deed, holds: Iterable[Hold]) -> None:
    for hold in holds:
        written(HoldLifted(deed=deed, hold=hold, on=deed.on))


def _give_back(deed: Deed, lot: Lot, answered: Sequence[Hold]) -> None:
    """A lot that was held with another is what it was before, once nothing is left."""
    _lift(deed, _same(standing_holds([lot]), answered))
    free_again(deed, lot)


def free_again(deed: Deed, lot: Lot) -> None:
    """A lot whose causes are all gone is what it was before it was held."""
    if status_on(lot, deed.on) == WORD.HELD and not standing_holds([lot]):
        words = lot.statuses.exclude(status=WORD.HELD).order_by("on", "id")
        before = words.last()
        set_status(deed, lot, before.status if before else WORD.QUARANTINE)


def _same(holds: Iterable[Hold], answered: Sequence[Hold]) -> list[Hold]:
    """Those that were written with what is answered now."""
    deeds = {hold.deed_id for hold in answered}
    return [hold for hold in holds if hold.deed_id in deeds]


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


def _judge_made(deed: Deed, lot: Lot, family: Family, override: bool) -> bool:
    """Whether a rest was cut short."""
    may_be_released(deed, lot, family)
    _passed_where_asked(lot, family)
    if source := rejected_inside(lot):
        owner_only(deed.by, f"release what was made from {source}, which is rejected")
        reason_asked(deed, f"releasing what was made from {source}")
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


def _passed_where_asked(lot: Lot, family: Family) -> None:
    """A recipe that asks for a check of this very lot is not content with another."""
    version = lot.batch.version
    if version is None or version.release != Version.Release.CHECK:
        return
    if version.lye_excess:
        return
    last = family.last_check(family.nodes[lot.code])
    if last is None or not last.passed:
        raise Refused(untested(lot.code))


@deed("hold a lot", moves_nothing=True, gives=Status)
def hold_lot(
    deed: Deed,
    *,
    lot: Lot,
    also: Sequence[Lot] | None = None,
    batches: Sequence[Batch] | None = None,
    left_out: str = "",
) -> Status:
    """Stop a lot: nothing is used or sold from it until every cause is answered.

    What is still here of what was made from it, and what stands open with it inside,
    is held too unless ``also`` and ``batches`` say otherwise; ``left_out`` is why.
    """
    reason_asked(deed, f"holding {lot}")
    lots, standing_open = reached_by(lot)
    open_batches = batches_of(standing_open)
    also = lots if also is None else also
    batches = open_batches if batches is None else batches
    spared = {*lots, *open_batches} - {*also, *batches}
    if spared and not left_out.strip():
        names = ", ".join(sorted(str(one) for one in spared))
        raise Refused(f"{names} holds some of {lot}: say why it is not held too.")
    for other in also:
        if other in lots:
            stop(deed, other, _cause(deed, lot))
    for batch in batches:
        _keep(Hold(deed=deed, batch=batch, cause=_cause(deed, lot), on=deed.on))
    return stop(deed, lot, _said(deed, spared, left_out))


def _cause(deed: Deed, lot: Lot) -> str:
    return f"holds some of {lot}: {deed.reason}"


def _said(deed: Deed, spared: Iterable[Model], left_out: str) -> str:
    if not spared:
        return deed.reason
    names = ", ".join(sorted(str(one) for one in spared))
    return f"{deed.reason} (not held: {names}: {left_out.strip()})"


def stop(deed: Deed, lot: Lot, cause: str) -> Status:
    """One more cause, within a deed; the lot is held while any stands."""
    if _status_of(lot, deed, WORD.HELD) == WORD.REJECTED:
        raise Refused(f"{lot} is rejected already.")
    _nothing_left_since(deed, lot)
    _keep(Hold(deed=deed, lot=lot, cause=cause, on=deed.on))
    return set_status(deed, lot, WORD.HELD)


def _keep(hold: Hold) -> None:
    longest = Hold._meta.get_field("cause").max_length or 0
    hold.cause = hold.cause.strip()[:longest]
    written(hold)


@deed("reject a lot", moves_nothing=True, gives=Status)
def reject_lot(deed: Deed, *, lot: Lot) -> Status:
    """Say that a lot is not good; it can only be reworked, sampled or discarded."""
    owner_only(deed.by, deed.verb)
    reason_asked(deed, f"rejecting {lot}")
    _status_of(lot, deed, WORD.REJECTED)
    _nothing_left_since(deed, lot)
    return set_status(deed, lot, WORD.REJECTED)


@deed("record a status", moves_nothing=True, gives=Status)
def record_status(deed: Deed, *, lot: Lot, status: str) -> Status:
    """Take over a status that an earlier book gave; its checks are not on file here.

    A lot of this very book is released on its page, by whoever may.
    """
    if status == WORD.RELEASED and not came_with_a_past(lot):
        raise Refused(
            f"{lot} did not come with a past: release it on its page, where the causes "
            "and its checks stand."
        )
    return take_over(deed, lot, status)


@deed("record a hold", moves_nothing=True, gives=Hold)
def record_hold(deed: Deed, *, batch: Batch) -> Hold:
    """Take over that an earlier book held a batch before it had made its lot."""
    hold = Hold(deed=deed, batch=batch, cause=deed.reason or EARLIER, on=deed.on)
    _keep(hold)
    return hold


def take_over(deed: Deed, lot: Lot, status: str) -> Status:
    """The same within a deed: a hold comes with its cause, a release lifts them all."""
    if status == WORD.HELD:
        _keep(Hold(deed=deed, lot=lot, cause=deed.reason or EARLIER, on=deed.on))
    else:
        released = status == WORD.RELEASED
        _lift(deed, causes_of(lot) if released else standing_holds([lot]))
    return set_status(deed, lot, status)
