"""Delivered cost: what a purchase line cost at the workshop's door (IAS 2.10-11)."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from production.domain.numbers import MONEY_STEP, share_out, share_units
from production.domain.refusal import Refused

Basis = Literal["value", "weight", "quantity"]
FALL: tuple[Basis, ...] = ("weight", "value", "quantity")


@dataclass(frozen=True, slots=True)
class ExtraCost:
    """One charge on a whole invoice: freight, duty, or a credit (below zero)."""

    kind: str
    amount: Decimal
    by: Basis


@dataclass(frozen=True, slots=True)
class LineBasis:
    """What a purchase line weighs in a split; None is unknown, never zero."""

    value: Decimal | None
    weight: Decimal | None
    quantity: Decimal


def split_extra(
    extra: ExtraCost, lines: Sequence[LineBasis], minor: Decimal = Decimal("0.01")
) -> list[Decimal] | None:
    """Share an extra cost over the lines of its invoice; the shares add up to it.

    Whole ``minor`` units by largest remainder, ties to the lowest line; 0.0001 where
    the amount itself is finer. A basis that adds up to zero, or weights of which one
    is unknown, fall on to weight, value, quantity, equal shares. None: the split is by
    value and a price is unknown, so no share can be known yet. IAS 2.11 wants the
    cost in; the basis and the residue rule are common practice, no source.
    """
    if not lines:
        raise Refused(f"Put a line on the invoice to carry the {extra.kind}.")
    weights = _weights(extra.by, lines)
    if weights is None:
        return None
    unit = minor if extra.amount % minor == 0 else MONEY_STEP
    return share_out(extra.amount, weights, unit)


def _weights(asked: Basis, lines: Sequence[LineBasis]) -> list[Decimal] | None:
    for basis in (asked, *FALL):
        found = [getattr(line, basis) for line in lines]
        if None in found:
            if basis == "value":
                return None
            continue
        if sum(found) > 0:
            return found
    return [Decimal(1)] * len(lines)


def delivered(
    price: Decimal | None,
    tax: Decimal,
    recoverable_tax: Decimal,
    shares: Sequence[Decimal | None],
) -> Decimal | None:
    """Add up a line's price, its tax and its shares; None while one is unknown.

    Recoverable tax is named only to be left out: what the authority gives back is no
    cost (IAS 2.11). ``tax`` is the part that is not given back.
    """
    cost = tax
    for part in (price, *shares):
        if part is None:
            return None
        cost += part
    return cost


def split_line(total_nano: int, lot_amounts: Sequence[Decimal]) -> list[int]:
    """Share a line's value over the lots it came as, by amount, to the last nano."""
    return share_units(total_nano, lot_amounts)
