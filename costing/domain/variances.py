"""Why one lot of a product cost more than another: price, usage, rate, efficiency.

Actual minus standard: above zero is unfavourable (U), below zero favourable (F).
OpenStax Principles of Accounting vol. 2 (Managerial), 8.2 and 8.3; mix and yield as in
the university lecture AF3112. Here the earlier lot is the standard and the later one
the actual, both for one piece, so that all variances add up to the difference.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from costing.domain.pricing import ZERO, Figure


def label(amount: Fraction) -> str:
    """``U``, ``F``, or "" where there is none."""
    return "U" if amount > 0 else "F" if amount < 0 else ""


@dataclass(frozen=True, slots=True)
class Variance:
    """One cause; ``of`` is the key of what it is about, 0 for all of its kind."""

    kind: str
    of: str
    amount: Fraction

    @property
    def label(self) -> str:
        return label(self.amount)


def price_variance(actual: Figure, standard: Figure, quantity: Figure) -> Fraction:
    """(AP - SP) x AQ; of labour (AR - SR) x AH."""
    return (Fraction(actual) - Fraction(standard)) * Fraction(quantity)


def usage_variance(actual: Figure, standard: Figure, price: Figure) -> Fraction:
    """(AQ - SQ for the actual output) x SP; of labour (AH - SH) x SR."""
    return (Fraction(actual) - Fraction(standard)) * Fraction(price)


def mix_variance(
    actual: Mapping[str, Fraction],
    shares: Mapping[str, Fraction],
    prices: Mapping[str, Fraction],
) -> Fraction:
    """Sum of (AQ - total AQ x standard share) x SP.

    Only where proportions may be varied: of an alkali it would call an error a saving.
    """
    total = sum(actual.values(), ZERO)
    return sum(
        (
            (actual.get(name, ZERO) - total * shares.get(name, ZERO)) * prices[name]
            for name in {*actual, *shares}
        ),
        ZERO,
    )


def yield_variance(
    actual: Figure,
    standard: Figure,
    shares: Mapping[str, Fraction],
    prices: Mapping[str, Fraction],
) -> Fraction:
    """(total AQ - standard input for the actual output) x standard price of the mix."""
    mixed = sum((share * prices[name] for name, share in shares.items()), ZERO)
    return (Fraction(actual) - Fraction(standard)) * mixed


@dataclass(frozen=True, slots=True)
class Put:
    """So much of one thing for one piece: its amount, and what that cost.

    Grams or pieces of a material, hours of work. ``component`` is that of the cost.
    """

    component: str
    amount: Fraction
    cost: Fraction

    @property
    def price(self) -> Fraction | None:
        """Of one gram, piece or hour; None where nothing of it went in."""
        return self.cost / self.amount if self.amount else None


# The proportions of oils are the maker's choice; an alkali's dose is chemistry's.
MIXED = "oil"
LABOUR = "labour"
# Shared by a rate, not bought by the piece: it has no amount that was used.
SHARED = "overhead"


@dataclass(frozen=True, slots=True)
class _Pair:
    """One thing in the earlier and in the later lot, with both of its prices.

    What stands in one of the two alone has one price, so that all of it is usage.
    """

    key: str
    component: str
    standard: Put
    actual: Put
    standard_price: Fraction
    actual_price: Fraction

    @property
    def unmeasured(self) -> bool:
        """Whether one of the two cost something, and nobody knows how much went in."""
        return any(put.cost and not put.amount for put in (self.standard, self.actual))


def why(standard: Mapping[str, Put], actual: Mapping[str, Put]) -> list[Variance]:
    """The variances from the earlier lot to the later, by what went into one piece.

    Keys name the same thing in both. They add up to the difference of the two costs
    exactly; those of nothing are left out.
    """
    pairs = [
        _pair(key, standard, actual) for key in dict.fromkeys([*standard, *actual])
    ]
    mixed = [pair for pair in pairs if pair.component == MIXED and not pair.unmeasured]
    blend = _blend(mixed) if len(mixed) > 1 else []
    found = [
        one
        for pair in pairs
        for one in _of_one(pair, usage=not (blend and pair in mixed))
    ]
    return [one for one in [*found, *blend] if one.amount]


def total(variances: Iterable[Variance]) -> Fraction:
    """What they come to together."""
    return sum((one.amount for one in variances), ZERO)


def _pair(key: str, standard: Mapping[str, Put], actual: Mapping[str, Put]) -> _Pair:
    known = standard.get(key) or actual[key]
    none = Put(known.component, ZERO, ZERO)
    a, b = standard.get(key, none), actual.get(key, none)
    price = a.price if a.price is not None else b.price
    now = b.price if b.price is not None else a.price
    return _Pair(key, known.component, a, b, price or ZERO, now or ZERO)


def _of_one(pair: _Pair, *, usage: bool) -> list[Variance]:
    if pair.component == SHARED or pair.unmeasured:
        kind = "overhead" if pair.component == SHARED else "cost"
        return [Variance(kind, pair.key, pair.actual.cost - pair.standard.cost)]
    worked = pair.component == LABOUR
    words = ("labour rate", "labour efficiency") if worked else ("price", "usage")
    found = [
        Variance(
            words[0],
            pair.key,
            price_variance(pair.actual_price, pair.standard_price, pair.actual.amount),
        )
    ]
    if usage:
        amount = usage_variance(
            pair.actual.amount, pair.standard.amount, pair.standard_price
        )
        found.append(Variance(words[1], pair.key, amount))
    return found


def _blend(pairs: list[_Pair]) -> list[Variance]:
    """Mix and yield of what may be mixed freely; the two are its usage."""
    whole = sum((pair.standard.amount for pair in pairs), ZERO)
    used = sum((pair.actual.amount for pair in pairs), ZERO)
    if not whole:
        # Nothing was mixed before: there is no mix to differ from.
        amount = sum((pair.actual.amount * pair.standard_price for pair in pairs), ZERO)
        return [Variance("usage", "", amount)]
    prices = {pair.key: pair.standard_price for pair in pairs}
    shares = {pair.key: pair.standard.amount / whole for pair in pairs}
    actual = {pair.key: pair.actual.amount for pair in pairs}
    return [
        Variance("mix", "", mix_variance(actual, shares, prices)),
        Variance("yield", "", yield_variance(used, whole, shares, prices)),
    ]
