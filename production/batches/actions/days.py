"""The fast ways of a craft day: one save for several batches, packs, arrivals."""

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from production.batches.actions.batches import post_batch
from production.batches.actions.new_batch import NewBatch, Use
from production.fitness.actions.guards import may_be_released
from production.quantities.domain.refusal import Refused
from production.recipes.models.formulas import Version
from production.record.actions.deeds import deed
from production.record.models.ink import Deed
from production.release.reads.checks import free_alkali_limit
from production.stock.actions.opening_lots import set_status
from production.stock.domain.checks import verdict_of
from production.stock.models.lots import Lot, Status
from production.stock.reads.stock import status_on

WORD = Status.Word


@deed("a craft day")
def craft_day(
    deed: Deed,
    *,
    dilution: NewBatch,
    finishing: NewBatch,
    fillings: Sequence[NewBatch] = (),
) -> None:
    """Dilute, finish and fill on one day: each stage its own batch and lot.

    Soap that goes on the same day is released by the hand that goes on, unless its
    recipe asks for a check that is not passed, or for a rest.
    """
    diluted = _run(deed, dilution, status=_goes_on(dilution))
    on = _goes_on(finishing) if fillings else _kept(finishing)
    finished = _run(deed, finishing, diluted, dilution.output.amount, on)
    for filling in fillings:
        _run(deed, filling, finished, finishing.output.amount)


@deed("several scents")
def craft_scents(deed: Deed, *, scents: Sequence[NewBatch]) -> None:
    """Several finishings of one diluted soap, each its own batch and lot."""
    if not scents:
        raise Refused("Write at least one scent: how much soap, and what goes into it.")
    for scent in scents:
        post_batch(deed, scent)


def _run(
    deed: Deed,
    new: NewBatch,
    before: Lot | None = None,
    all_of_it: Decimal = Decimal(0),
    status: str = "",
) -> Lot:
    """One stage of the day, out of what the stage before it made."""
    if before is not None:
        soap = Use(lot=before, amount=new.taken or all_of_it)
        new = replace(new, uses=[soap, *new.uses])
    if status:
        new = replace(new, output=replace(new.output, status=status))
    lot = post_batch(deed, new)
    if status == WORD.RELEASED and status_on(lot, deed.on) == WORD.QUARANTINE:
        # It waited for the check that stands beside it on the same page.
        may_be_released(deed, lot)
        set_status(deed, lot, WORD.RELEASED)
    return lot


def _passed(new: NewBatch) -> bool | None:
    """What its check says; None where none was made, False where one failed."""
    limit = free_alkali_limit(new.version)
    verdicts = [verdict_of(row, limit) for row in new.readings]
    said = [verdict for verdict in verdicts if verdict is not None]
    return all(said) if said else None


def _goes_on(new: NewBatch) -> str:
    """The status of soap that is taken further on the same day."""
    what = "The diluted soap" if new.stage == "dilution" else "The finished soap"
    version, passed = new.version, _passed(new)
    if passed is False:
        raise Refused(
            f"{what} did not pass its check, so nothing is filled from it: leave the "
            "bottles out, and test again; free alkali burns skin and eyes."
        )
    if version is not None and version.rest_days:
        raise Refused(
            f"{what} rests {version.rest_days} days by {version}: leave the bottles "
            "out, and write each batch on its own day."
        )
    asks = version is not None and version.release == Version.Release.CHECK
    if asks and passed is None:
        raise Refused(
            f"{version} asks for a passed neutrality check before the soap goes on: "
            "note it, or write each batch by itself."
        )
    return str(WORD.RELEASED)


def _kept(new: NewBatch) -> str:
    """Soap that stays in its pot: released by a passed check where the recipe asks."""
    version = new.version
    if _passed(new) is False:
        return str(WORD.QUARANTINE)
    if version is None or version.release != Version.Release.CHECK:
        return ""
    return str(WORD.RELEASED) if _passed(new) and not version.rest_days else ""
