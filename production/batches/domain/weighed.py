"""What was really weighed into a pot with alkali, judged by the superfat it gives.

Nothing here is a second chemistry: the range is that of ``chemistry.ranges``, as the
plan of a cook has it, fed with the grams and the lots that went in.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal, localcontext

from production.chemistry.domain.bands import OilRange, SuperfatRange
from production.chemistry.domain.constants import ALKALIS, EXACT, KOH
from production.chemistry.domain.pot import Acid
from production.chemistry.domain.ranges import EXCESS, superfat_range
from production.quantities.domain.numbers import ONE, ZERO, as_weighed, grams, plain
from production.quantities.domain.refusal import Refused
from production.recipes.domain.mixing import OLEIC
from production.recipes.domain.pot import Fat, Lye, alkali_range

OIL, ALKALI, ACID, SOAP = "oil", "alkali", "acid", "soap"
UNSAID = ""
# What a pot without a recipe is mended to: common practice, no source.
USUAL_SUPERFAT = Decimal("0.02")
# mg of KOH that 1 g of pure oleic acid takes: molar mass of KOH over that of C18H34O2.
OLEIC_TAKES = 1000 * KOH / OLEIC
RETEST = (
    "Stir it in warm, let it react, then test again: drops from several spots in "
    "alcohol with phenolphthalein, or a titration. Nobody uses it before that has "
    "passed; free alkali burns skin and eyes."
)


@dataclass(frozen=True, slots=True)
class Went:
    """Grams of one lot that went in, at any remove, and what is known of that lot.

    ``role`` is oil, alkali, acid, soap (not cooked here), anything else that takes no
    part, or empty where nobody has said.
    """

    code: str
    item: str
    grams: Decimal
    role: str
    fat: Fat | None = None
    alkali: str = ""
    lye: Lye | None = None
    acid: str = ""
    purity: Decimal | None = None

    @property
    def of(self) -> str:
        """The lot with its name, as a sentence has it."""
        return f"{self.code} ({self.item})" if self.code else self.item


@dataclass(frozen=True, slots=True)
class Aim:
    """What a recipe sets: its superfat, its band, and its oils by (name, SV, share)."""

    superfat: Decimal
    band: Decimal
    lye_excess: bool = False
    oils: tuple[tuple[str, Decimal, Decimal], ...] = ()


@dataclass(frozen=True, slots=True)
class Over:
    """More alkali than the recipe asks for these oils; grams as weighed."""

    weighed: Decimal
    asked: Decimal
    share: Decimal
    band: Decimal

    def __str__(self) -> str:
        return (
            f"{_g(self.weighed)} of alkali is {_g(self.weighed - self.asked)} more "
            f"than the {_g(self.asked)} that the recipe asks for these oils: "
            f"{_percent(self.share)} over, and its band is {_percent(self.band)}."
        )


@dataclass(frozen=True, slots=True)
class Mend:
    """What takes the free alkali up: parts by name, in grams, all of them together."""

    parts: tuple[tuple[str, Decimal], ...]

    def __str__(self) -> str:
        return " and ".join(f"{_g(amount)} of {name}" for name, amount in self.parts)


@dataclass(frozen=True, slots=True)
class Superfat:
    """The answer. ``range`` is None where ``missing`` says why, or nothing is fat.

    ``excess`` is a central figure below zero that no recipe declares, with ``mends``,
    each of them alone, that bring it to ``target``; ``free`` is grams of potassium
    hydroxide that find no fat.
    """

    range: SuperfatRange | None = None
    missing: tuple[str, ...] = ()
    over: Over | None = None
    excess: bool = False
    free: Decimal = ZERO
    target: Decimal = USUAL_SUPERFAT
    mends: tuple[Mend, ...] = ()

    @property
    def retest(self) -> str:
        return RETEST

    @property
    def says(self) -> str:
        """One sentence with the figure."""
        if self.missing:
            return f"No superfat can be worked out. {' '.join(self.missing)}"
        if self.range is None:
            return "A lye without fat has no superfat: all of its alkali is free."
        words = f"The superfat of what was weighed is {_percent(self.range.central)}"
        likely = self.range.likely
        between = f"likely {_percent(likely.low)} to {_percent(likely.high)}"
        if self.range.central < 0:
            return (
                f"{words}, {between}: {_g(self.free)} of potassium hydroxide find no "
                "fat."
            )
        return f"{words}, {between}."

    @property
    def mending(self) -> str:
        """What would bring it back, in one sentence."""
        ways = ", or ".join(str(mend) for mend in self.mends)
        return (
            f"Goggles and gloves on: {ways} would bring it to a superfat of "
            f"{_percent(self.target)}."
        )


def judge(went: Iterable[Went], aim: Aim | None, step: Decimal = ZERO) -> Superfat:
    """The superfat that these grams give, with its range; ``step`` of the balance."""
    there = [one for one in went if one.grams > 0]
    if missing := tuple(dict.fromkeys(_missing(there))):
        return Superfat(missing=missing)
    oils = [one for one in there if one.role == OIL]
    if not oils:
        return Superfat()
    try:
        found = _range(there, oils, aim, step)
    except Refused as fault:
        return Superfat(missing=(str(fault),))
    with localcontext(EXACT):
        return _judged(found, there, oils, aim)


def _judged(
    found: SuperfatRange, there: Sequence[Went], oils: Sequence[Went], aim: Aim | None
) -> Superfat:
    demand = sum((one.grams * _fat(one).sv for one in oils), ZERO)
    # In mg of KOH: what the alkali gives over what acids take of it.
    gives = (ONE - found.central) * demand
    declared = aim is not None and aim.lye_excess
    excess = found.grade == EXCESS and found.central < 0 and not declared
    target = aim.superfat if aim and aim.superfat >= 0 else USUAL_SUPERFAT
    lacks = gives / (ONE - target) - demand
    return Superfat(
        range=found,
        over=_over(there, demand, aim),
        excess=excess,
        free=max(-found.central * demand / 1000, ZERO),
        target=target,
        mends=_mends(lacks, oils, aim) if excess else (),
    )


def _missing(there: Sequence[Went]) -> Iterable[str]:
    for one in there:
        if one.role == UNSAID:
            yield f"Say on the card of {one.item} what it is: nothing is assumed."
        elif one.role == SOAP:
            yield (
                f"What fat and alkali {one.of} holds is not in the book: it was not "
                "cooked here."
            )
        elif one.role == OIL and one.fat is None:
            yield (
                f"The saponification value of {one.of} is missing: choose its "
                "published oil on its card, or note it from the certificate."
            )
        elif one.role == ALKALI and not one.alkali:
            yield f"Say on the card of {one.item} whether it is KOH or NaOH."
        elif one.role == ALKALI and one.lye is None:
            yield (
                f"The purity of {one.of} is missing: note it from the tub or its "
                "certificate."
            )
        elif one.role == ACID and (one.purity is None or not one.acid):
            yield f"Which acid {one.of} is, and its purity, is missing."


def _fat(one: Went) -> Fat:
    assert one.fat is not None
    return one.fat


def _range(
    there: Sequence[Went], oils: Sequence[Went], aim: Aim | None, step: Decimal
) -> SuperfatRange:
    return superfat_range(
        [
            OilRange(one.item, one.grams, fat.sv, fat.sv_low, fat.sv_high)
            for one in oils
            for fat in (_fat(one),)
        ],
        [
            alkali_range(one.alkali, one.grams, one.lye)
            for one in there
            if one.role == ALKALI and one.lye is not None
        ],
        acid_moles=_acid(there),
        resolution=step,
        intended_excess=aim is not None and aim.lye_excess,
    )


def _acid(there: Iterable[Went]) -> Decimal:
    """Moles of alkali that the acids among them take."""
    with localcontext(EXACT):
        return sum(
            (
                Acid(one.acid, one.grams, one.purity).moles
                for one in there
                if one.role == ACID and one.purity is not None
            ),
            ZERO,
        )


def _over(there: Iterable[Went], demand: Decimal, aim: Aim | None) -> Over | None:
    """Where more alkali was weighed than the recipe asks, by more than its band."""
    there = list(there)
    tubs = [one for one in there if one.role == ALKALI and one.lye is not None]
    if aim is None or not tubs:
        return None
    gives = sum((_gives(one) for one in tubs), ZERO)
    asks = (ONE - aim.superfat) * demand + _acid(there) * 1000 * KOH
    share = gives / asks - ONE if asks > 0 else ONE
    if share <= aim.band:
        return None
    weighed = sum((one.grams for one in tubs), ZERO)
    return Over(weighed, weighed * asks / gives, share, aim.band)


def _gives(one: Went) -> Decimal:
    """mg of KOH that a tub's grams stand for."""
    assert one.lye is not None
    return one.grams * one.lye.purity * 1000 * KOH / ALKALIS[one.alkali]


def _mends(lacks: Decimal, oils: Sequence[Went], aim: Aim | None) -> tuple[Mend, ...]:
    """Oils in the recipe's proportions, else as they went in; or oleic acid alone."""
    mixed = aim.oils if aim and aim.oils else _as_weighed(oils)
    each = sum((sv * share for _, sv, share in mixed), ZERO)
    parts = tuple((name, lacks * share / each) for name, _, share in mixed)
    return Mend(parts), Mend((("oleic acid", lacks / OLEIC_TAKES),))


def _as_weighed(oils: Sequence[Went]) -> tuple[tuple[str, Decimal, Decimal], ...]:
    whole = sum((one.grams for one in oils), ZERO)
    held: dict[tuple[str, Decimal], Decimal] = {}
    for one in oils:
        key = one.item, _fat(one).sv
        held[key] = held.get(key, ZERO) + one.grams / whole
    return tuple((name, sv, share) for (name, sv), share in held.items())


def _g(value: Decimal) -> str:
    return f"{plain(as_weighed(grams(value)))} g"


def _percent(share: Decimal) -> str:
    """In percent to two places; what is not nothing never reads 0."""
    value = share * 100
    places = 2 if abs(value) >= Decimal("0.005") or not value else 6
    return f"{plain(round(value, places))} %"
