"""What should come out of a batch, what came, and which of its losses is which.

A loss is normal where the work cannot be done without it: steam, what stays on the
walls, the sample for the bench, the last gram of the scale. What is left carries its
cost. An abnormal one is what a maker would call a loss: its cost is an expense.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import ROUND_DOWN, Decimal, localcontext

from production.chemistry.domain.constants import EXACT
from production.quantities.domain.numbers import ONE, ZERO, grams
from production.stock.domain.balance import (
    BAND,
    COOK,
    Balance,
    balance,
    beyond_band,
    net_grams,
    scale_errs,
)
from production.yields.domain.losses import Loss

NORMAL = frozenset(
    {"steam", "left on the walls", "bench sample", "weighing difference"}
)
ABNORMAL = frozenset({"spill", "boiled over", "burnt", "dropped", "thrown away"})
MILLIGRAM = Decimal("0.001")


@dataclass(frozen=True, slots=True)
class Poured:
    """So much of one item that went into a batch or came out of it.

    ``net_mass`` is that of one piece, ``counted`` whether it has pieces at all.
    """

    item: int
    amount: Decimal
    counted: bool = False
    packaging: bool = False
    net_mass: Decimal | None = None

    @property
    def grams(self) -> Decimal | None:
        """Its mass; nothing for packaging, None for pieces of an unknown mass."""
        if self.packaging:
            return ZERO
        return net_grams(self.amount, self.net_mass) if self.counted else self.amount


@dataclass(frozen=True, slots=True)
class Terms:
    """What a version says of its yield.

    ``each`` is what one piece takes, by item; ``counted``: it makes pieces.
    """

    loss: Decimal | None = None
    band: Decimal = BAND
    each: Mapping[int, Decimal] | None = None
    counted: bool = False


def mass(poured: Iterable[Poured]) -> Decimal | None:
    """Grams in all; None where one is not known."""
    total = ZERO
    for one in poured:
        if one.grams is None:
            return None
        total += one.grams
    return total


def should_come_out(
    goes_in: Iterable[Poured],
    terms: Terms,
    *,
    counted: bool = False,
    net_mass: Decimal | None = None,
) -> Decimal | None:
    """What these inputs should give by a version: grams, or whole pieces.

    None where the version names no loss or a mass is unknown. Pieces go by what one of
    them takes in the recipe, packaging left aside, since it may be put on later; else
    by their net mass.
    """
    if terms.loss is None:
        return None
    loss, poured = Loss(terms.loss, "as the recipe expects"), list(goes_in)
    if not counted:
        together = mass(poured)
        return None if together is None else grams(loss.after(together))
    with localcontext(EXACT):
        pieces = [
            (one.amount if one.counted else loss.after(one.amount))
            / terms.each[one.item]
            for one in _by_item(poured)
            if terms.each and terms.each.get(one.item)
        ]
        if not pieces:
            together = mass(poured)
            if together is None or not net_mass:
                return None
            pieces = [loss.after(together) / net_mass]
        return min(pieces).quantize(ONE, ROUND_DOWN)


def _by_item(poured: Iterable[Poured]) -> list[Poured]:
    """Two lots of one item are one amount of it."""
    found: dict[int, Poured] = {}
    for one in poured:
        if one.packaging:
            continue
        before = found[one.item].amount if one.item in found else ZERO
        found[one.item] = Poured(
            one.item, before + one.amount, one.counted, net_mass=one.net_mass
        )
    return list(found.values())


@dataclass(frozen=True, slots=True)
class Outturn:
    """What one batch took, gave and lost.

    ``made`` is in the unit of its lot and None while there is none; ``expected`` is
    None where nothing is, and ``typed`` where a person wrote it. ``unit`` is theirs,
    ``g`` or ``piece``.
    """

    stage: str
    went_in: tuple[Poured, ...]
    made: Poured | None
    named: Mapping[str, Decimal]
    expected: Decimal | None = None
    typed: bool = False
    by_recipe: bool = False
    band: Decimal = BAND
    unit: str = "g"

    @property
    def used(self) -> Decimal | None:
        """Grams that went in; None where a piece has no known mass."""
        return mass(self.went_in)

    @property
    def balance(self) -> Balance | None:
        """The law of mass; None while open, or where a mass is unknown."""
        used, made = self.used, self.made.grams if self.made is not None else None
        if used is None or made is None:
            return None
        return balance(used, made, self.stage, self.named)

    @property
    def surplus(self) -> Decimal:
        """Grams that came out of nothing, beyond what the scale may err by."""
        held = self.balance
        if held is None or held.difference >= 0 or not beyond_band(held, self.band):
            return ZERO
        return -held.difference

    @property
    def missing(self) -> Decimal:
        """Grams that are asked about: short of the expected, and nobody named them.

        Without an expected yield a recipe asks for all that its band does not hold,
        but for what a cook boils off. Within the band nothing is asked.
        """
        held = self.balance
        if held is None or self.made is None:
            return ZERO
        rest = held.evaporation + held.difference
        if self.expected is not None:
            each = self.made.net_mass if self.made.counted else ONE
            short = (self.expected - self.made.amount) * (each or ZERO)
            rest = min(rest, grams(short) - sum(self.named.values(), ZERO))
        elif not self.by_recipe or self.stage == COOK:
            return ZERO
        return rest if rest > scale_errs(held.used, self.band) else ZERO

    @property
    def spoilt(self) -> Decimal:
        """Grams that were lost by a name that no maker plans with."""
        return self._named(ABNORMAL)

    @property
    def abnormal(self) -> Decimal:
        """What was lost and is an expense, in the unit of the lot.

        What was named as such; and what is short of the expected without a name, where
        that was typed, or is beyond the band. ``other`` is a name that says nothing.
        """
        if self.made is None or not self.made.amount:
            return ZERO
        named = self.spoilt
        if not named and self.expected is None:
            return ZERO
        used, each = self.used, self._each()
        if each is None:
            return ZERO if not self.typed else self._short(ONE, ZERO)
        bad = named / each
        short = self._short(each, bad)
        within = used is not None and short * each <= scale_errs(used, self.band)
        return grams(bad if within and not self.typed else bad + short)

    @property
    def abnormal_by_name(self) -> dict[str, Decimal]:
        """The same by what it was called; what nobody named stands under ""."""
        total, each = self.abnormal, self._each()
        if not total:
            return {}
        if each is None:
            return {"": total}
        found = {
            kind: amount / each
            for kind, amount in self.named.items()
            if kind in ABNORMAL and amount
        }
        rest = total - sum(found.values(), ZERO)
        # Less than a milligram is only the rounding of the whole.
        if rest >= MILLIGRAM or not found:
            found[""] = rest
        return found

    def _short(self, each: Decimal, bad: Decimal) -> Decimal:
        """Units below the expected that no name accounts for."""
        if self.expected is None or self.made is None:
            return ZERO
        told = bad + self._named(NORMAL) / each
        return max(self.expected - self.made.amount - told, ZERO)

    def _named(self, kinds: frozenset[str]) -> Decimal:
        return sum((self.named[kind] for kind in self.named if kind in kinds), ZERO)

    def _each(self) -> Decimal | None:
        """Grams of one unit made; of pieces without a net mass as much as went in."""
        if self.made is None or not self.made.counted:
            return ONE
        if self.made.net_mass:
            return self.made.net_mass
        used = self.used
        left = None if used is None else used - sum(self.named.values(), ZERO)
        return left / self.made.amount if left is not None and left > 0 else None
