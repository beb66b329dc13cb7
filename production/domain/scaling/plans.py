"""How a stage turns an amount mixed together into what goes in, for each kind."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal, localcontext

from production.domain.chemistry.constants import EXACT, ONE, ZERO
from production.domain.chemistry.dilution import finish_to
from production.domain.chemistry.recipe import Acid, Oil, Recipe
from production.domain.chemistry.saponification import Saponification, saponify
from production.domain.chemistry.stated import stated
from production.domain.numbers import plain
from production.domain.refusal import Refused
from production.domain.scaling.goods import Material, Need

PER = Decimal(1000)  # grams of oils at which a cook is worked out
LYE = "lye"


@dataclass(frozen=True, slots=True)
class Line:
    """A material and how much of it: a share, or so much for each piece.

    ``goes_in`` is where it goes in a cook: ``lye``, ``late`` or with the rest.
    """

    item: Material
    amount: Decimal
    goes_in: str = ""


@dataclass(frozen=True, slots=True)
class Lye:
    """An alkali as it is weighed; purity and carbonate are mass fractions."""

    item: Material
    purity: Decimal
    carbonate: Decimal = ZERO


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
    ``source`` says where the content comes from.
    """

    paste: Material
    target: Decimal
    content: Decimal | None
    share: Decimal | None = None
    others: tuple[Line, ...] = ()
    source: str = ""

    @property
    def takes(self) -> tuple[Material, ...]:
        """What goes in, without the water."""
        return (self.paste, *(line.item for line in self.others))

    def goes_in(self, together: Decimal, water: Material) -> tuple[Need, ...]:
        """What so many grams of diluted soap take.

        Refused where neither content nor share is known, and where the paste is too
        thin for the target.
        """
        if self.content is None:
            return self.by_share().goes_in(together, water)
        with localcontext(EXACT):
            paste = together * self.target / self.content
            more = {line.item.name: line.amount for line in self.others}
            mixed = finish_to(paste, self.content, self.target, more)
            return (
                Need(self.paste, paste),
                *(Need(line.item, together * line.amount) for line in self.others),
                Need(water, mixed.water),
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
    """Oils by share, with the terms of the recipe; ``lyes`` are chosen for a cook.

    ``purities`` are those of acids in the lye, by the key of the material. Other
    lines are shares of the oils as well.
    """

    oils: tuple[Line, ...]
    superfat: Decimal | None
    koh_share: Decimal = ONE
    water_per_alkali: Decimal | None = None
    lye_strength: Decimal | None = None
    others: tuple[Line, ...] = ()
    lyes: tuple[Lye, ...] = ()
    purities: Mapping[int, Decimal] = field(default_factory=dict)

    @property
    def takes(self) -> tuple[Material, ...]:
        """What goes in, without alkali and lye water."""
        return tuple(line.item for line in (*self.oils, *self.others))

    def goes_in(self, together: Decimal, water: Material) -> tuple[Need, ...]:
        """What a batch of so many grams in all takes; refused as ``recipe`` is."""
        needs = self.for_oils(PER, water)
        with localcontext(EXACT):
            factor = together / sum((need.amount for need in needs), ZERO)
            return tuple(Need(need.item, need.amount * factor) for need in needs)

    def for_oils(self, oils: Decimal, water: Material) -> tuple[Need, ...]:
        """What goes in with so many grams of oils."""
        cooked = self.cooked(oils)
        if cooked.lye_water is None:
            raise Refused(
                "State the lye water of the recipe: without it nobody knows how much "
                "is made."
            )
        with localcontext(EXACT):
            lines = [*self.oils, *(o for o in self.others if o not in self._waters)]
            needs = [Need(line.item, oils * line.amount) for line in lines]
            weighed = {"KOH": cooked.koh_weighed, "NaOH": cooked.naoh_weighed}
            needs += [Need(lye.item, weighed[lye.item.alkali]) for lye in self.lyes]
            if self._waters:
                needs += [Need(ln.item, oils * ln.amount) for ln in self._waters]
            else:
                needs.append(Need(water, cooked.lye_water))
        return tuple(need for need in needs if need.amount)

    def oils_in(self, needs: Iterable[Need]) -> Decimal:
        """Grams of oils among what goes in."""
        oils = {line.item.key for line in self.oils}
        with localcontext(EXACT):
            return sum((need.amount for need in needs if need.item.key in oils), ZERO)

    def each_oil(self, oils: Decimal) -> dict[int, Decimal]:
        """So many grams of oils by the key of each: what a kettle takes as a limit."""
        with localcontext(EXACT):
            return {line.item.key: oils * line.amount for line in self.oils}

    @property
    def _waters(self) -> tuple[Line, ...]:
        """Water as a line of the recipe is the lye water where no term sets that."""
        if self.water_per_alkali is not None or self.lye_strength is not None:
            return ()
        return tuple(line for line in self.others if line.item.category == "water")

    def _mass(self, lye: bool, oils: Decimal) -> Decimal:
        """Grams of what takes no part, in the lye or added to the paste."""
        aside = (*self._waters, *self._acids)
        lines = [o for o in self.others if o not in aside and (o.goes_in == LYE) is lye]
        return sum((oils * line.amount for line in lines), ZERO)

    def cooked(self, oils: Decimal = PER) -> Saponification:
        """The chemistry of so many grams of oils."""
        return saponify(self.recipe(oils))

    def recipe(self, oils: Decimal = PER) -> Recipe:
        """For so many grams of oils.

        Refused where an oil has no saponification value, or the purity of an alkali
        or an acid is not given.
        """
        with localcontext(EXACT):
            in_the_lye = self._mass(True, oils)
            water = sum((oils * line.amount for line in self._waters), ZERO)
            return Recipe(
                oils=[_oil(line, oils) for line in self.oils],
                superfat=stated(self.superfat, "the superfat of the recipe"),
                koh_share=self.koh_share,
                water=water + in_the_lye if self._waters else None,
                in_the_lye=in_the_lye,
                added=self._mass(False, oils),
                water_per_alkali=self.water_per_alkali,
                lye_strength=self.lye_strength,
                acids=[self._acid(line, oils) for line in self._acids],
                **_purities(self.lyes),
            )

    @property
    def _acids(self) -> tuple[Line, ...]:
        return tuple(o for o in self.others if o.goes_in == LYE and o.item.acid)

    def _acid(self, line: Line, oils: Decimal) -> Acid:
        purity = self.purities.get(line.item.key)
        if purity is None:
            raise Refused(
                f"State the purity of the {line.item.name}: it decides how much alkali "
                "the acid takes."
            )
        return Acid(line.item.acid, oils * line.amount, purity)


def _oil(line: Line, oils: Decimal) -> Oil:
    published = line.item.oil
    if published is None:
        raise Refused(
            f"{line.item.name} has no saponification value: choose its published oil "
            "on its card."
        )
    return Oil(line.item.name, oils * line.amount, published.sv, kind=published.kind)


def _purities(lyes: Iterable[Lye]) -> dict[str, Decimal]:
    found = {}
    for lye in lyes:
        found[f"{lye.item.alkali.lower()}_purity"] = lye.purity
        found[f"{lye.item.alkali.lower()}_carbonate"] = lye.carbonate
    return found
