"""How a stage turns an amount mixed together into what goes in, for each kind.

Each is one linear balance: it is solved for 1,000 g, or for one piece, and any amount
of anything in it is in proportion.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal, localcontext

from production.chemistry.domain.constants import EXACT
from production.chemistry.domain.dilution import finish_to
from production.chemistry.domain.pot import Pot
from production.chemistry.domain.saponification import Saponification, saponify
from production.quantities.domain.numbers import ONE, ZERO, plain
from production.quantities.domain.refusal import Refused
from production.recipes.domain import pot as pots
from production.recipes.domain.scaling.goods import Material, Need, summed

PER = Decimal(1000)  # grams at which a stage is worked out


def worded(lines: Iterable[tuple[Material, Decimal]]) -> dict[int, Decimal]:
    """Shares by the key of the material, two lines of one together."""
    found: dict[int, Decimal] = {}
    for item, share in lines:
        found[item.key] = found.get(item.key, ZERO) + share
    return found


@dataclass(frozen=True, slots=True)
class Line:
    """A material and how much of it: a share, or so much for each piece."""

    item: Material
    amount: Decimal


@dataclass(frozen=True, slots=True)
class Tub:
    """An alkali and what is known of the tub that it is weighed from."""

    item: Material
    lye: pots.Lye


@dataclass(frozen=True, slots=True)
class FillingPlan:
    """So much for each piece made: soap, bottle, label; bottles in a box."""

    per_piece: tuple[Line, ...]

    @property
    def takes(self) -> tuple[Material, ...]:
        """What goes in."""
        return tuple(line.item for line in self.per_piece)

    def goes_in(self, together: Decimal, water: Material) -> tuple[Need, ...]:
        """What so many pieces take."""
        return self.for_pieces(together, together)

    def share_of(self, item: Material) -> Decimal | None:
        """No share: it is so much for each."""
        return None

    def for_pieces(self, together: Decimal, out: Decimal) -> tuple[Need, ...]:
        """Grams for all that is filled, what is counted for what comes out of it.

        What is lost in filling is soap in the pot and the hose; a bottle that breaks
        is a loss of its own.
        """
        with localcontext(EXACT):
            return tuple(
                Need(line.item, line.amount * (out if line.item.counted else together))
                for line in self.per_piece
            )


@dataclass(frozen=True, slots=True)
class SharePlan:
    """Shares of what is mixed together; water takes the rest that they leave."""

    lines: tuple[Line, ...]

    @property
    def takes(self) -> tuple[Material, ...]:
        """What goes in, without the water."""
        return tuple(line.item for line in self.lines)

    def share_of(self, item: Material) -> Decimal | None:
        """The share of a material as worded; None of what takes the rest."""
        return worded((line.item, line.amount) for line in self.lines).get(item.key)

    def goes_in(self, together: Decimal, water: Material) -> tuple[Need, ...]:
        """What so many grams take. Refused where the shares are above the whole."""
        with localcontext(EXACT):
            rest = ONE - sum((line.amount for line in self.lines), ZERO)
            if rest < 0:
                raise Refused(
                    f"The shares add up to {plain((ONE - rest) * 100)} %, above the "
                    "whole: lower one of them."
                )
            needs = [Need(line.item, together * line.amount) for line in self.lines]
            if rest:
                needs.append(Need(water, together * rest))
            return tuple(needs)


@dataclass(frozen=True, slots=True)
class DilutionPlan:
    """Paste and water to a soap content; the paste's own content decides how much.

    Where that is not known, the recipe's share of paste counts, if it names one.
    ``source`` says where the content comes from. Water takes what the rest leaves: the
    one that the recipe names, else any.
    """

    paste: Material
    target: Decimal
    content: Decimal | None
    share: Decimal | None = None
    others: tuple[Line, ...] = ()
    source: str = ""
    water: Material | None = None

    @property
    def takes(self) -> tuple[Material, ...]:
        """What goes in, without the water."""
        return (self.paste, *(line.item for line in self.others))

    def share_of(self, item: Material) -> Decimal | None:
        """The share of a material as worded; None of what takes the rest."""
        if item == self.paste:
            return self.share
        return worded((line.item, line.amount) for line in self.others).get(item.key)

    def goes_in(self, together: Decimal, water: Material) -> tuple[Need, ...]:
        """What so many grams of diluted soap take.

        Refused where neither content nor share is known, and where the paste is too
        thin for the target.
        """
        if self.content is None:
            return self.by_share().goes_in(together, self.water or water)
        with localcontext(EXACT):
            paste = together * self.target / self.content
            more = {line.item.name: line.amount for line in self.others}
            mixed = finish_to(paste, self.content, self.target, more)
            return (
                Need(self.paste, paste),
                *(Need(line.item, together * line.amount) for line in self.others),
                Need(self.water or water, mixed.water),
            )

    def by_share(self) -> SharePlan:
        """As the recipe words it; refused where it names no share of paste."""
        if self.share is None:
            raise Refused(
                f"Write the soap content of the {self.paste.name}: neither a batch nor "
                "the recipe says how much of it to take."
            )
        return SharePlan((Line(self.paste, self.share), *self.others))


@dataclass(frozen=True, slots=True)
class CookPlan:
    """Shares of the oils, with the terms of the recipe; ``tubs`` are chosen for a cook.

    Every line has its ``item``.
    """

    lines: tuple[pots.Line, ...]
    terms: pots.Terms
    tubs: Mapping[str, Tub] = field(default_factory=dict)

    @property
    def takes(self) -> tuple[Material, ...]:
        """What goes in, without alkali and lye water."""
        return tuple(dict.fromkeys(line.item for line in self.lines if line.item))

    def share_of(self, item: Material) -> Decimal | None:
        """The share of the oils as worded; None of what follows from them."""
        lines = ((line.item, line.share) for line in self.lines if line.item)
        return worded(lines).get(item.key)

    @property
    def oils(self) -> tuple[pots.Line, ...]:
        """The lines that are oils."""
        return tuple(line for line in self.lines if line.is_oil)

    @property
    def lyes(self) -> dict[str, pots.Lye]:
        """What is known of each alkali."""
        return {alkali: tub.lye for alkali, tub in self.tubs.items()}

    def goes_in(self, together: Decimal, water: Material) -> tuple[Need, ...]:
        """What a batch of so many grams in all takes; refused as ``for_oils`` is."""
        needs = self.for_oils(PER, water)
        with localcontext(EXACT):
            factor = together / sum((need.amount for need in needs), ZERO)
            return tuple(Need(need.item, need.amount * factor) for need in needs)

    def for_oils(self, oils: Decimal, water: Material) -> tuple[Need, ...]:
        """What goes in with so many grams of oils, unrounded."""
        cooked = self.saponified(oils)
        if cooked.lye_water is None:
            raise Refused(
                "State the lye water of the recipe: without it nobody knows how much "
                "is made."
            )
        weighed = {"KOH": cooked.koh_weighed, "NaOH": cooked.naoh_weighed}
        with localcontext(EXACT):
            needs = [
                Need(line.item, oils * line.share)
                for line in self.lines
                if line.item and not pots.is_lye_water(line, self.terms)
            ]
        needs += [Need(self.lye_water_of(water), cooked.lye_water)]
        needs += [Need(tub.item, weighed[name]) for name, tub in self.tubs.items()]
        return tuple(need for need in summed(needs) if need.amount)

    def lye_water_of(self, water: Material) -> Material:
        """The water that the recipe names for its lye, else any."""
        for line in self.lines:
            if line.item and pots.is_lye_water(line, self.terms):
                return line.item
        return water

    def oils_in(self, needs: Iterable[Need]) -> Decimal:
        """Grams of oils among what goes in."""
        oils = {line.item.key for line in self.oils if line.item}
        with localcontext(EXACT):
            return sum((need.amount for need in needs if need.item.key in oils), ZERO)

    def each_oil(self, oils: Decimal) -> dict[int, Decimal]:
        """So many grams of oils by the key of each: what a kettle takes as a limit."""
        with localcontext(EXACT):
            needs = [Need(ln.item, oils * ln.share) for ln in self.oils if ln.item]
        return {need.item.key: need.amount for need in summed(needs)}

    def saponified(self, oils: Decimal = PER) -> Saponification:
        """The chemistry of so many grams of oils, unrounded."""
        return saponify(self.pot(oils))

    def pot(self, oils: Decimal) -> Pot:
        """So many grams of oils and what goes with them, unrounded."""
        with localcontext(EXACT):
            amounts = [oils * line.share for line in self.lines]
        return pots.pot_of(self.lines, amounts, self.terms, self.lyes)
