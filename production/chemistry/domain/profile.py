"""The fatty acids of a blend of oils: each with its range, and what oils are unknown.

The tables give an oil's acids as shares of its total fatty acids; here they are
weighted by the mass of the oils, an approximation. A fat holds 94 to 96 % of its mass
as fatty acids, so a share of a blend of fats is off by half a point at most (coconut
and olive, half each); with a free fatty acid, which is all acid, by up to 1.5 points,
and with a fat rich in unsaponifiable matter (shea) by a few. The published ranges are
wider than that.
"""

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal, localcontext
from functools import lru_cache
from types import MappingProxyType

from production.chemistry.domain.bands import Band
from production.chemistry.domain.constants import (
    ATOMIC_WEIGHTS,
    EXACT,
    GLYCEROL,
    WATER,
    molar_mass,
)
from production.chemistry.domain.pot import OIL_KINDS
from production.chemistry.domain.validation import above_zero, not_negative, share
from production.quantities.domain.numbers import ONE, ZERO, plain
from production.quantities.domain.refusal import Refused

GROUPS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "lauric_myristic": ("C12:0", "C14:0"),
        "oleic": ("C18:1",),
        "ricinoleic": ("C18:1-OH",),
        "linoleic_linolenic": ("C18:2", "C18:3"),
        "palmitic_stearic": ("C16:0", "C18:0"),
    }
)
GROUP_WORDS: Mapping[str, str] = MappingProxyType(
    {
        "lauric_myristic": "lauric and myristic acid",
        "oleic": "oleic acid",
        "ricinoleic": "ricinoleic acid",
        "linoleic_linolenic": "linoleic and linolenic acid",
        "palmitic_stearic": "palmitic and stearic acid",
    }
)
_GROUP_OF = {acid: key for key, acids in GROUPS.items() for acid in acids}
IODINE = 2 * ATOMIC_WEIGHTS["I"]
_SHORTHAND = re.compile(r"C([0-9]+):([0-9]+)(?:-(?:(OH)|\(OH\)([0-9])))?")


@dataclass(frozen=True, slots=True)
class FattyAcid:
    """g/mol and double bonds, from a shorthand such as C18:1-OH; moles in one gram."""

    molar_mass: Decimal
    double_bonds: int
    moles: Decimal


@dataclass(frozen=True, slots=True)
class AcidShare:
    """One acid of an oil, as fractions of the oil's fatty acids; None is unknown."""

    acid: str
    low: Decimal | None
    typical: Decimal | None
    high: Decimal | None

    def __post_init__(self) -> None:
        for value in (self.low, self.typical, self.high):
            if value is not None:
                share(value, f"the share of {self.acid}")
        if self.low is not None and self.high is not None and self.low > self.high:
            raise Refused(
                f"The share of {self.acid} runs from {plain(self.low)} down to "
                f"{plain(self.high)}: change the ends over."
            )

    def ends(self) -> tuple[Decimal, Decimal]:
        """The least and the most there can be; a typical share widens them."""
        low = ZERO if self.low is None else self.low
        high = ONE if self.high is None else self.high
        typical = self.typical
        if typical is None or low <= typical <= high:
            return low, high
        return min(low, typical), max(high, typical)


@dataclass(frozen=True, slots=True)
class OilProfile:
    """An oil of the blend; ``share`` is its part of the oils by mass.

    ``iodine_low`` and ``iodine_high`` are published, g of iodine per 100 g; ``kind`` is
    fat, acid or wax. Without ``acids`` its composition is unknown, and so is a wax's,
    of which about half is no fatty acid.
    """

    name: str
    share: Decimal
    acids: Sequence[AcidShare] = ()
    iodine_low: Decimal | None = None
    iodine_high: Decimal | None = None
    kind: str = "fat"

    def __post_init__(self) -> None:
        if self.kind not in OIL_KINDS:
            raise Refused(f"{self.name} is a fat, an acid or a wax.")
        not_negative(self.share, f"the share of {self.name}")
        if len({row.acid for row in self.acids}) < len(self.acids):
            raise Refused(f"An acid of {self.name} stands twice: keep one of them.")

    @property
    def is_known(self) -> bool:
        """Whether its composition is."""
        return bool(self.acids) and self.kind != "wax"


@dataclass(frozen=True, slots=True)
class Figure:
    """One acid or group in the blend, as fractions of its fatty acids.

    ``typical`` is of the oils that are known, so a floor where others are not; None
    where one of those says no typical share. The high end counts what is unknown.
    """

    name: str
    low: Decimal
    typical: Decimal | None
    high: Decimal

    @property
    def band(self) -> Band:
        """Both ends."""
        return Band(self.low, self.high)


@dataclass(frozen=True, slots=True)
class Profile:
    """The blend: its acids by shorthand, its groups by the keys of ``GROUPS``.

    ``known`` is the share of the oils whose composition is known, ``unknown`` names the
    others. ``iodine_computed`` is from the typical acids of the known oils alone and
    ``iodine`` the published ranges of all, weighted; each None where it cannot be said:
    an oil lacks a published upper end, or its acids are not known.
    """

    acids: Mapping[str, Figure]
    groups: Mapping[str, Figure]
    iodine: Band | None
    iodine_computed: Decimal | None
    known: Decimal
    unknown: tuple[str, ...]

    def figures(self) -> dict[str, Figure | None]:
        """The groups and the iodine value by name; None where nothing is known."""
        found: dict[str, Figure | None] = {
            key: figure if self.known else None for key, figure in self.groups.items()
        }
        typical = None if self.unknown else self.iodine_computed
        iodine = self.iodine and Figure(
            "iodine value", self.iodine.low, typical, self.iodine.high
        )
        return {**found, "iodine_value": iodine}


@dataclass(slots=True)
class _Sum:
    """One acid or group, oil by oil."""

    low: Decimal = ZERO
    typical: Decimal = ZERO
    high: Decimal = ZERO
    said: bool = True

    def add(self, low: Decimal, typical: Decimal | None, high: Decimal) -> None:
        self.low += low
        self.high += high
        if typical is None:
            self.said = False
        elif typical:
            self.typical += typical

    def figure(self, name: str, missing: Decimal) -> Figure:
        """What no table says may all be this acid."""
        typical = self.typical if self.said else None
        high = min(self.high + missing, ONE)
        return Figure(name, min(self.low, ONE), typical, high)


def profile(oils: Sequence[OilProfile]) -> Profile:
    """What fatty acids a blend holds; shares need not add up to 1, only be in measure.

    Raises Refused without any oil, and for a shorthand that names no fatty acid.
    """
    with localcontext(EXACT):
        whole = above_zero(sum((oil.share for oil in oils), ZERO), "the oils' shares")
        parts = [(oil, oil.share / whole) for oil in oils if oil.share]
        known = [(oil, part) for oil, part in parts if oil.is_known]
        covered = sum((part for _, part in known), ZERO)
        missing = ONE - covered if len(known) < len(parts) else ZERO
        acids: dict[str, _Sum] = defaultdict(_Sum)
        groups = {group: _Sum() for group in GROUPS}
        for oil, part in known:
            _add_oil(oil, part, acids, groups)
        return Profile(
            acids=_figures(dict(sorted(acids.items())), {}, missing),
            groups=_figures(groups, GROUP_WORDS, missing),
            iodine=_published_iodine(parts),
            iodine_computed=_computed_iodine(known, covered),
            known=ONE - missing,
            unknown=_names(oil for oil, _ in parts if not oil.is_known),
        )


def _names(oils: Iterable[OilProfile]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(oil.name for oil in oils))


def _add_oil(
    oil: OilProfile, part: Decimal, acids: dict[str, _Sum], groups: dict[str, _Sum]
) -> None:
    """Low ends add up; a high end cannot pass what the other acids' low ends leave."""
    rows = [(row.acid, row.typical, *row.ends()) for row in oil.acids]
    room = max(ONE - sum([low for _, _, low, _ in rows], ZERO), ZERO)
    of_oil: dict[str, _Sum] = {}
    for acid, typical, low, high in rows:
        most = min(high, low + room)
        acids[acid].add(low * part, typical and typical * part, most * part)
        if group := _GROUP_OF.get(acid):
            own = of_oil.setdefault(group, _Sum())
            own.add(low, typical, most)
    for group, own in of_oil.items():
        most = min(own.high, own.low + room)
        typical = own.typical * part if own.said else None
        groups[group].add(own.low * part, typical, most * part)


def _figures(
    sums: Mapping[str, _Sum], words: Mapping[str, str], missing: Decimal
) -> Mapping[str, Figure]:
    return MappingProxyType(
        {key: found.figure(words.get(key, key), missing) for key, found in sums.items()}
    )


def _published_iodine(parts: Sequence[tuple[OilProfile, Decimal]]) -> Band | None:
    """What is at most 5 begins at 0; what is at least 56 has no upper end."""
    if any(oil.iodine_high is None for oil, _ in parts):
        return None
    low = sum((part * (oil.iodine_low or ZERO) for oil, part in parts), ZERO)
    high = sum((part * (oil.iodine_high or ZERO) for oil, part in parts), ZERO)
    return Band(low, high)


def _computed_iodine(
    known: Sequence[tuple[OilProfile, Decimal]], covered: Decimal
) -> Decimal | None:
    """Of the known oils together; None where one of their acids has no typical."""
    total = ZERO
    for oil, part in known:
        typical = {row.acid: row.typical for row in oil.acids if row.typical}
        if not typical or any(row.typical is None for row in oil.acids):
            return None
        of = iodine_as_acids if oil.kind == "acid" else iodine_as_triglyceride
        total += part * of(typical)
    return total / covered if covered else None


@lru_cache(maxsize=256)
def fatty_acid(shorthand: str) -> FattyAcid:
    """Carbons, double bonds and hydroxyls, as in C16:0, C18:1-OH, C18:0-(OH)2.

    Raises Refused for anything else.
    """
    found = _SHORTHAND.fullmatch(shorthand)
    if not found:
        raise Refused(
            f"{shorthand!r} names no fatty acid: write carbons and double bonds, "
            "such as C18:1."
        )
    carbons, bonds = int(found[1]), int(found[2])
    oxygens = 2 + (1 if found[3] else int(found[4] or 0))
    hydrogens = 2 * (carbons - bonds)
    mass = molar_mass(f"C{carbons}H{hydrogens}O{oxygens}")
    with localcontext(EXACT):
        return FattyAcid(mass, bonds, ONE / mass)


def itself(kind: str, origin: str) -> tuple[AcidShare, ...]:
    """The composition of a pure fatty acid, by definition: all of it is that acid.

    ``origin`` names it by its shorthand, as in "octadecenoic acid C18:1"; () where it
    is no acid or names none.
    """
    named = [word for word in origin.split() if _SHORTHAND.fullmatch(word)]
    if kind != "acid" or len(named) != 1:
        return ()
    return (AcidShare(named[0], ONE, ONE, ONE),)


def iodine_as_triglyceride(acids: Mapping[str, Decimal]) -> Decimal:
    """g of iodine per 100 g of that triglyceride: one I2 for each double bond."""
    with localcontext(EXACT):
        mean, bonds = _mean(acids)
        return 300 * bonds * IODINE / (3 * mean + GLYCEROL - 3 * WATER)


def iodine_as_acids(acids: Mapping[str, Decimal]) -> Decimal:
    """g of iodine per 100 g of the free fatty acids themselves."""
    with localcontext(EXACT):
        mean, bonds = _mean(acids)
        return 100 * bonds * IODINE / mean


def _mean(acids: Mapping[str, Decimal]) -> tuple[Decimal, Decimal]:
    """Mean g/mol and mean double bonds of a molecule."""
    grams = moles = bonds = ZERO
    for acid, part in acids.items():
        facts = fatty_acid(acid)
        of_it = part * facts.moles
        grams += part
        moles += of_it
        if facts.double_bonds:
            bonds += of_it * facts.double_bonds
    above_zero(moles, "the shares of the fatty acids")
    return grams / moles, bonds / moles
