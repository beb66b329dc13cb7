"""A bill: how an extra cost is shared over the lines of its invoice (IAS 2.10-11)."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from production.quantities.domain.numbers import MONEY_STEP, share_out
from production.quantities.domain.refusal import Refused

Basis = Literal["value", "weight", "quantity"]
ONE = Decimal(1)
CENT = Decimal("0.01")


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


@dataclass(frozen=True, slots=True)
class Weight:
    """What a line weighs in grams, and how the book knows; None is unknown."""

    grams: Decimal | None
    known: Literal["as shipped", "its grams", "piece by piece", ""]


def weight_of(
    shipped: Decimal | None,
    unit: str,
    lots: Sequence[tuple[Decimal, Decimal | None]],
) -> Weight:
    """Weigh a line: as shipped, else its grams, else its pieces of a known weight.

    ``lots`` are what it came as: how much, and the grams of one piece.
    """
    if shipped is not None:
        return Weight(shipped, "as shipped")
    if unit == "g":
        return Weight(sum((amount for amount, _ in lots), Decimal(0)), "its grams")
    total = Decimal(0)
    for amount, each in lots:
        if each is None:
            return Weight(None, "")
        total += amount * each
    return Weight(total, "piece by piece")


def lacking(extra: ExtraCost, lines: Sequence[LineBasis]) -> tuple[int, ...] | None:
    """The places of the lines that a split waits for; None where it waits for none.

    All of them, where what is known of them adds up to nothing. A cost that one line
    carries alone waits for nothing, and no more does a cost of nothing.
    """
    if len(lines) == 1 or not extra.amount:
        return None
    found = [getattr(line, extra.by) for line in lines]
    if None in found:
        return tuple(place for place, one in enumerate(found) if one is None)
    return None if sum(found) > 0 else tuple(range(len(lines)))


def split_extra(extra: ExtraCost, lines: Sequence[LineBasis]) -> list[Decimal] | None:
    """Share an extra cost over the lines of its invoice; the shares add up to it.

    Whole cents by largest remainder, ties to the lowest line; 0.0001 where
    the amount itself is finer. None: the basis of a line is unknown, or nothing weighs
    in it, so no share can be known yet; another basis is for the maker to choose.
    IAS 2.11 wants the cost in; the basis and the residue rule are common practice, no
    source.
    """
    if not lines:
        raise Refused(f"Put a line on the invoice to carry the {extra.kind}.")
    if lacking(extra, lines) is not None:
        return None
    if len(lines) == 1 or not extra.amount:
        weights = [ONE] * len(lines)
    else:
        weights = [getattr(line, extra.by) for line in lines]
    unit = CENT if extra.amount % CENT == 0 else MONEY_STEP
    return share_out(extra.amount, weights, unit)


def delivered(
    price: Decimal | None,
    tax: Decimal,
    shares: Sequence[Decimal | None],
) -> Decimal | None:
    """Add up a line's price, its tax and its shares; None while one is unknown.

    ``tax`` is the part that is not given back: what the authority gives back is no
    cost (IAS 2.11).
    """
    cost = tax
    for part in (price, *shares):
        if part is None:
            return None
        cost += part
    return cost


def currency_of(text: str) -> str:
    """The three letters of a currency, as ISO 4217 has them; "" stays ""."""
    code = text.strip().upper()
    if code and not re.fullmatch("[A-Z]{3}", code):
        raise Refused(
            f"{text} is not a currency. Write its three letters, such as EUR."
        )
    return code


def rate_of_invoice(currency: str, rate: Decimal | None, own: str) -> Decimal:
    """The rate of an invoice: ``own`` money for one of its own; 1 where it is ours."""
    _above_zero(rate)
    if currency and currency == own and rate not in (None, ONE):
        raise Refused(f"{own} is your own currency: leave the rate empty.")
    if currency not in ("", own) and rate is None:
        raise Refused(_write_the_rate("The invoice is", currency, own))
    return ONE if rate is None else rate


def rate_of_bill(
    what: str, currency: str, rate: Decimal | None, invoice: str, own: str
) -> Decimal | None:
    """The rate of an extra cost; None where it goes by the rate of its invoice."""
    _above_zero(rate)
    if currency and currency == own and rate not in (None, ONE):
        raise Refused(f"{own} is your own currency: leave the rate of {what} empty.")
    if rate is not None or currency in ("", invoice):
        return rate
    if currency != own:
        raise Refused(_write_the_rate(f"{what} is", currency, own))
    return ONE


def _above_zero(rate: Decimal | None) -> None:
    if rate is not None and rate <= 0:
        raise Refused("A rate is above zero.")


def _write_the_rate(what: str, currency: str, own: str) -> str:
    return f"{what} in {currency}: write its rate, how many {own} one {currency} is."
