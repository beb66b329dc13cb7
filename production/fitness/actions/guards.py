"""Every way out of a lot asks the one question, and is refused with its sentence."""

from collections.abc import Iterable, Sequence
from datetime import date

from production.fitness.domain.family import Family
from production.fitness.domain.reasons import (
    CAUSTIC,
    Mends,
    Purpose,
    Reason,
    cleared,
    fit_for,
)
from production.fitness.reads.holds import holds_of_open, rejected_in
from production.fitness.reads.restored import waiting_restore
from production.fitness.reads.rows import load
from production.quantities.domain.refusal import Refused
from production.record.actions.people import is_owner
from production.record.domain.text import PAST
from production.record.models.ink import Deed
from production.stock.models.batches import COUNTED, Batch, Stage
from production.stock.models.lots import Lot, Status
from production.workshop.models.items import Item

WORD = Status.Word
# What a past must agree with by its own words; its checks were judged by its own hand.
# A book that was restored waits for its owner, whoever tells what left since.
SAID_BY_A_PAST = {
    Mends.RELEASE,
    Mends.HOLD,
    Mends.REWORK,
    Mends.TRIAL,
    Mends.RESTORED,
}


def may_go(
    deed: Deed,
    lots: Iterable[Lot],
    purpose: Purpose,
    *,
    on: date | None = None,
    override: bool = False,
    past: bool = False,
) -> None:
    """Sold, given, carried to a customer's place, or opened at the bench."""
    lots, on = list(lots), on or deed.on
    rows = load(lots)
    family = rows.family(on)
    left_before = past and not _after_a_backup(on)
    for lot in lots:
        reasons = fit_for(family, lot.code, purpose).reasons
        old = past and came_with_a_past(rows.lots[lot.pk])
        if old and left_before:
            # Before the backup was taken, whose day was its own.
            reasons = tuple(r for r in reasons if r.mends != Mends.RESTORED)
        _judge(deed, reasons, override, old)


def may_go_since_a_backup(deed: Deed, lot: Lot, purpose: Purpose) -> None:
    """The same of what a past let go by its own hand: only the restore is asked."""
    if _after_a_backup(deed.on):
        reasons = fit_for(load([lot]).family(deed.on), lot.code, purpose).reasons
        _judge(deed, [one for one in reasons if one.mends == Mends.RESTORED])


def may_go_in(
    deed: Deed,
    batch: Batch,
    lots: Sequence[Lot],
    *,
    on: date | None = None,
    override: bool = False,
    past: bool = False,
) -> None:
    """Used in a batch, by what the batch is to become."""
    rows = load(lots)
    family = rows.family(on or deed.on)
    for lot in lots:
        # What follows looks at them, lot by lot.
        lot.item, lot.deed = rows.lots[lot.pk].item, rows.lots[lot.pk].deed
        purpose = _wanted(batch, family, lot)
        old = past and came_with_a_past(lot)
        reasons = fit_for(family, lot.code, purpose).reasons
        if batch.trial:
            # A trial is made from trials; it is accepted by itself.
            reasons = tuple(r for r in reasons if r.mends != Mends.TRIAL)
        _judge(deed, reasons, override, old)


def may_be_released(deed: Deed, lot: Lot, family: Family | None = None) -> None:
    """Nothing in it waits for a check; no override reaches that."""
    family = family or load([lot]).family(deed.on)
    _judge(deed, cleared(family, lot.code))


def _after_a_backup(on: date) -> bool:
    """Whether a restored book, while nobody has answered, may know nothing of a day.

    The day of the backup itself is one of these.
    """
    waits = waiting_restore()
    return waits is not None and on >= waits.day


def came_with_a_past(one: Lot | Batch) -> bool:
    """Whether it was taken in from a file: its own hand judged it there."""
    return one.deed.key.startswith(PAST)


def is_cleared(deed: Deed, lot: Lot) -> bool:
    """Whether nothing in it waits for a check."""
    return not cleared(load([lot]).family(deed.on), lot.code)


def may_be_counted(deed: Deed, batch: Batch) -> None:
    """What came out is in pieces: nothing open, and no alkali, is in it.

    Filling and packing were asked when it went in; a rework or a pot is asked now.
    """
    if batch.stage in COUNTED:
        return
    used = Lot.objects.filter(movements__in=batch.movements.used())
    lots = list(used.distinct())
    family = load(lots).family(deed.on)
    for lot in lots:
        reasons = fit_for(family, lot.code, Purpose.FILL).reasons
        _judge(deed, [reason for reason in reasons if reason.mends in CAUSTIC])


def first_word(deed: Deed, batch: Batch, makes: Item, wished: str) -> str:
    """What a batch's lot is called when it is made, if nothing stands against it.

    It is held where the batch is. It is not released by its making while a check is
    missing, nor where something in it was held or rejected since it was poured.
    """
    if wished == WORD.QUARANTINE and holds_of_open(batch.pk).exists():
        return WORD.HELD
    if wished != WORD.RELEASED:
        return wished
    rows = load([], batch)
    rows.makes = makes
    family = rows.family(deed.on)
    if family.stops(rows.open_code):
        return WORD.HELD
    waits = (
        family.open_points(rows.open_code)
        or family.nodes[rows.open_code].stops
        or family.stopped_since(rows.open_code)
        or rejected_in(rows)
    )
    return WORD.QUARANTINE if waits else wished


def _wanted(batch: Batch, family: Family, lot: Lot) -> Purpose:
    if batch.stage == Stage.REWORK:
        return Purpose.MEND
    soap = family.alkaline(lot.code) and not family.chemical(lot.code)
    if batch.stage == Stage.COOK and soap:
        return Purpose.MEND  # it is cooked on
    if batch.stage == Stage.FINISHING:
        return Purpose.FINISH
    if batch.stage in COUNTED or _counted(batch):
        return Purpose.FILL
    return Purpose.USE


def _counted(batch: Batch) -> bool:
    made = batch.version.formula.makes if batch.version else None
    return made is not None and made.unit == Item.Unit.PIECE


def _judge(
    deed: Deed, reasons: Iterable[Reason], override: bool = False, past: bool = False
) -> None:
    """An owner lifts in the act only what may be lifted so, and says why."""
    waived = override and is_owner(deed.by) and bool(deed.reason.strip())
    for reason in reasons:
        if past and reason.mends not in SAID_BY_A_PAST:
            continue
        if not (reason.by_act and waived):
            raise Refused(reason.says)
