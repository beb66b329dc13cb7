"""Oils in percent or by weight: one is filled in from the other."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from production.quantities.domain.numbers import ONE, ZERO, plain, share_out
from production.quantities.domain.refusal import Refused

# Of a share by weight, as a recipe keeps it.
PLACES = 8


@dataclass(frozen=True, slots=True)
class Typed:
    """A line as somebody writes it: its share of the oils, its grams, or neither."""

    name: str
    is_fat: bool
    share: Decimal | None = None
    grams: Decimal | None = None


def shared_out(
    lines: Sequence[Typed], oils: Decimal
) -> tuple[list[Decimal], Decimal | None]:
    """Each line's share of the oils, and the grams of all oils where they are weighed.

    The oils add up to 1, by percent or by weight; what else goes in by weight is
    reckoned to ``oils`` grams where they stand in percent. Refused where it is neither.
    """
    names = [line.name for line in lines]
    for name in names:
        if names.count(name) > 1:
            raise Refused(f"{name} stands twice: write it in one line.")
    fats = [line for line in lines if line.is_fat]
    if not fats:
        raise Refused("Add at least one oil: without one there is no soap.")
    weights = [line.grams for line in fats if line.grams]
    if weights and len(weights) < len(fats):
        raise Refused(
            "Write every oil in percent, or every oil by weight: the other follows."
        )
    by_percent = [line.share for line in fats]
    shares = iter(shares_of_weights(weights) if weights else the_rest(by_percent))
    total = sum(weights, ZERO) or None
    found = [
        next(shares) if line.is_fat else _beside(line, total or oils) for line in lines
    ]
    return found, total


def _beside(line: Typed, oils: Decimal) -> Decimal:
    if line.share is not None:
        return line.share
    if line.grams is None:
        raise Refused(f"{line.name}: write its share of the oils, or its weight.")
    return (line.grams / oils).quantize(ONE.scaleb(-PLACES))


def shares_of_weights(weights: Sequence[Decimal]) -> list[Decimal]:
    """Weights as shares that add up to exactly 1, by largest remainder."""
    return share_out(ONE, weights, ONE.scaleb(-PLACES))


def the_rest(shares: Sequence[Decimal | None]) -> list[Decimal]:
    """Fill the one share left open with what is missing to the whole.

    Raises Refused where the shares do not add up to 100 %.
    """
    known = sum((share for share in shares if share is not None), ZERO)
    left_open = sum(share is None for share in shares)
    if left_open > 1:
        raise Refused("Leave the share of one oil open at most: it takes the rest.")
    if left_open and known >= 1:
        raise Refused(
            f"The oils add up to {plain(known * 100)} % already: nothing is left for "
            "the one without a share."
        )
    if not left_open and known != 1:
        over = known - ONE
        word = "more" if over > 0 else "less"
        raise Refused(
            f"The oils add up to {plain(known * 100)} %, {plain(abs(over) * 100)} % "
            f"{word} than the whole. Leave one of them empty and it takes the rest."
        )
    return [ONE - known if share is None else share for share in shares]
