"""The grams of a batch as it is written: named, asked about, or refused."""

from collections.abc import Sequence
from decimal import Decimal

from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused, Unexplained
from production.record.actions.deeds import written
from production.record.domain.text import PAST
from production.record.models.ink import Deed
from production.stock.domain.balance import beyond_band
from production.stock.models.batches import Batch, Loss
from production.stock.models.lots import Movement
from production.stock.reads.batches import ending
from production.yields.domain.hours_and_losses import NewLoss
from production.yields.domain.yields import Outturn
from production.yields.reads import explained, outturn

KIND = Movement.Kind


def write_losses(deed: Deed, batch: Batch, losses: Sequence[NewLoss]) -> None:
    """Losses with a name, within a deed."""
    for new in losses:
        written(
            Loss(deed=deed, batch=batch, kind=new.kind, amount=new.amount, on=deed.on)
        )


def still_here(batch: Batch) -> None:
    """Nothing is added to a batch that was lost whole."""
    if end := ending(batch):
        raise Refused(
            f"{batch} was lost on {end.on} ({end.kind}). If it was not, take that back "
            "first."
        )


def account_for(
    deed: Deed, batch: Batch, lost_as: str = "", past: bool = False, mark: str = ""
) -> None:
    """Every gram of a batch that has just made its lot.

    ``lost_as`` is what a maker calls the grams that are missing beyond the expected;
    ``mark`` is what the form called its question.
    """
    found = outturn(batch)
    if not past:
        not_out_of_nothing(batch, found)
    if lost_as:
        if found.missing:
            write_losses(deed, batch, [NewLoss(lost_as, found.missing)])
        return
    explains = bool(deed.reason.strip())
    if past:
        _ask_of_a_past(batch, found, explains)
    elif found.missing and not (explains and found.expected is None):
        raise Unexplained(asked_about(batch, found), mark)


def _ask_of_a_past(batch: Batch, found: Outturn, explains: bool) -> None:
    """A book that is taken over answers for what its recipes did not hold."""
    held = found.balance
    if found.missing and not explains and held and beyond_band(held, found.band):
        raise Refused(asked_about(batch, found))


def not_out_of_nothing(batch: Batch, found: Outturn) -> None:
    """More out than in is a count within the scale's error, and beyond it a mistake."""
    held = found.balance
    if held is None or not found.surplus:
        return
    lost = sum(held.named.values(), Decimal(0))
    and_lost = f", and {plain(lost)} g were lost on the way" if lost else ""
    raise Refused(
        f"{plain(held.made)} g came out of {plain(held.used)} g in {batch}{and_lost}. "
        "Was water forgotten, or something else that went in? Write it among what went "
        f"in{_or_the_loss(lost)}. Else weigh again: {plain(found.surplus)} g cannot "
        "come out of nothing."
    )


def _or_the_loss(lost: Decimal) -> str:
    return "; or put the loss right that was named" if lost else ""


def asked_about(batch: Batch, found: Outturn) -> str:
    """The question where grams went that nobody named."""
    missing, band = f"{plain(found.missing)} g", f"{plain(found.band * 100)} %"
    if found.expected is not None:
        said, answer = f"{missing} less than expected came out of {batch}", ""
    else:
        used = plain(found.used or Decimal(0))
        said = f"{used} g went into {batch}, and {missing} of it are not accounted for"
        answer = ", or give the reason"
    return (
        f"{said}, more than the band of {band}: steam, a spill, left on the walls, the "
        f"scale? Say where they went, weigh again{answer}."
    )


def judge_again(deed: Deed, batch: Batch) -> None:
    """The same when the record of a batch is mended, unless it has its reason."""
    found = outturn(batch)
    if not _made_in_the_past(batch):
        not_out_of_nothing(batch, found)
    if explained(batch=batch)[batch.pk] or deed.reason.strip():
        return
    if found.missing:
        raise Unexplained(asked_about(batch, found))


def _made_in_the_past(batch: Batch) -> bool:
    made = batch.movements.filter(kind=KIND.MADE)
    return made.filter(deed__key__startswith=PAST).exists()
