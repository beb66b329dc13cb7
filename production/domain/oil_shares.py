"""Oils in percent or by weight: one is filled in from the other."""

from collections.abc import Sequence
from decimal import Decimal

from production.domain.chemistry.constants import ONE, ZERO
from production.domain.numbers import plain, share_out
from production.domain.refusal import Refused


def shares_of_weights(weights: Sequence[Decimal], places: int = 8) -> list[Decimal]:
    """Weights as shares that add up to exactly 1, by largest remainder."""
    return share_out(ONE, weights, ONE.scaleb(-places))


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
