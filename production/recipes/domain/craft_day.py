"""The sums of a craft day: which packs an amount comes from, what is in one pot."""

from collections.abc import Iterable, Sequence
from decimal import Decimal

from production.quantities.domain.numbers import ZERO, plain
from production.quantities.domain.refusal import Refused
from production.stock.domain.ledger import Candidate, propose


def open_pack_first(
    pack: Candidate | None, lots: Sequence[Candidate], amount: Decimal
) -> list[tuple[str, Decimal]]:
    """Take an amount out of the pack that stands open, the rest out of the next lots.

    The shares add up to the amount. Raises Refused when the pack and the lots hold
    less together, or the amount is not above zero.
    """
    if pack is None:
        return propose(lots, amount)
    part = min(pack.on_hand, amount)
    others = [lot for lot in lots if lot.code != pack.code]
    if part == amount or part <= 0:
        return propose([pack] if part > 0 else others, amount)
    try:
        return [(pack.code, part), *propose(others, amount - part)]
    except Refused:
        # Told of the whole amount, not of the part that the pack left open.
        return propose([pack, *others], amount)


def in_one_pot(poured: Iterable[Decimal], lost: Iterable[Decimal]) -> Decimal:
    """Grams in a pot that was never weighed: all that went in, less what was lost."""
    went_in, went_out = sum(poured, ZERO), sum(lost, ZERO)
    if went_out >= went_in:
        raise Refused(
            f"{plain(went_out)} g were lost of {plain(went_in)} g: nothing would be "
            "left. Weigh what is there, or write the loss again."
        )
    return went_in - went_out


def left_of(poured: Sequence[Decimal], lost: Decimal) -> list[Decimal]:
    """What is left of each, of a loss that takes all of them alike; never below 0."""
    together = sum(poured, ZERO)
    part = max(1 - lost / together, ZERO) if together else ZERO
    return [one * part for one in poured]
