"""Soap of a declared lye excess is neutral before it is finished, sold or given."""

from datetime import date

from production.domain.refusal import Refused
from production.models import Batch, Lot, Stage
from production.reads.lye import still_caustic

WANTS_NEUTRAL = {Stage.FINISHING, Stage.FILLING, Stage.PACKING}


def goes_in_neutral(batch: Batch, lot: Lot, on: date) -> None:
    """Caustic soap is only diluted, premixed, cooked on or reworked."""
    if batch.stage in WANTS_NEUTRAL and still_caustic(lot, on):
        raise Refused(
            f"{_why(lot)} Neutralise the diluted soap, test it and note the result "
            "before it is finished; free alkali burns skin and eyes."
        )


def leaves_neutral(lot: Lot, on: date) -> None:
    """Nobody is handed caustic soap, sold or given."""
    if still_caustic(lot, on):
        raise Refused(
            f"{_why(lot)} It is not sold and not given before it is neutral; free "
            "alkali burns skin and eyes."
        )


def _why(lot: Lot) -> str:
    return (
        f"{lot} comes from a cook with a declared lye excess, and no passed "
        "neutrality check stands since."
    )
