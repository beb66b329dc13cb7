"""Brine, lye and stock solutions: strength, density, and what stays undissolved.

Strength is the mass of what is dissolved over the mass of the solution, a fraction.
Grams, mL, g/mL, degC. Density tables come in as plain values.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal, localcontext
from itertools import pairwise
from types import MappingProxyType

from production.chemistry.domain.constants import ALKALIS, EXACT
from production.chemistry.domain.validation import (
    above_zero,
    not_negative,
    share,
    share_above_zero,
    stated,
)
from production.quantities.domain.numbers import ONE, ZERO, grams, plain
from production.quantities.domain.refusal import Refused

ROOM = Decimal(20)

# Handbook value at 20 degC, 35.9 g in 100 g of water: recalled. It hardly changes
# with the temperature of a workshop.
SATURATED_BRINE = Decimal("0.264")

# Grams in 100 g of water by degC. KOH: general encyclopedia entry "potassium
# hydroxide" (0 and 20 degC), an open chemistry wiki (25 and 50 degC, there in 100 mL
# of water: about 1 % more in 100 g). NaOH: two published tables that agree up to
# 20 degC and differ above; the lower one here.
SOLUBILITY: Mapping[str, Mapping[Decimal, Decimal]] = MappingProxyType(
    {
        alkali: MappingProxyType({Decimal(t): Decimal(g) for t, g in rows.items()})
        for alkali, rows in {
            "KOH": {"0": "97", "20": "112", "25": "121", "50": "138.3"},
            "NaOH": {
                "0": "42",
                "10": "51",
                "20": "109",
                "30": "119",
                "40": "129",
                "50": "145",
            },
        }.items()
    }
)

READINGS = ("mass", "per 100 g water", "per 100 mL")


@dataclass(frozen=True, slots=True)
class Solution:
    """Grams of what is dissolved, of water, and of both together."""

    solute: Decimal
    water: Decimal
    total: Decimal


@dataclass(frozen=True, slots=True)
class DensityPoint:
    """One row of a table: strength as a fraction, degC, g/mL."""

    strength: Decimal
    temperature: Decimal
    density: Decimal


def brine(
    strength: Decimal,
    *,
    total: Decimal | None = None,
    salt: Decimal | None = None,
    water: Decimal | None = None,
) -> Solution:
    """Salt and water for a brine, from one of the three amounts.

    Salt + water = total, unrounded. Raises Refused above saturation, 26.4 %.
    """
    if share_above_zero(strength, "the strength of the brine") > SATURATED_BRINE:
        raise Refused(
            f"A brine holds at most {plain(SATURATED_BRINE)} salt: at {plain(strength)}"
            " part of the salt stays undissolved. Ask for a weaker brine."
        )
    return solution(strength, total=total, solute=salt, water=water)


def solution(
    strength: Decimal,
    *,
    total: Decimal | None = None,
    solute: Decimal | None = None,
    water: Decimal | None = None,
) -> Solution:
    """A solution of that strength, from exactly one of its amounts in grams."""
    share_above_zero(strength, "the strength")
    if strength == 1:
        raise Refused("A strength of 1 leaves no water: state it below 1.")
    given = [amount for amount in (total, solute, water) if amount is not None]
    if len(given) != 1:
        raise Refused("Give one amount: the whole, what is dissolved, or the water.")
    above_zero(given[0], "the grams")
    with localcontext(EXACT):
        if total is not None:
            solute = total * strength
            return Solution(solute, total - solute, total)
        if solute is not None:
            water = solute * (ONE - strength) / strength
        elif water is not None:
            solute = water * strength / (ONE - strength)
        solute, water = solute or ZERO, water or ZERO
        return Solution(solute, water, solute + water)


def strength_of(
    reading: str,
    figure: Decimal,
    *,
    points: Sequence[DensityPoint] = (),
    temperature: Decimal = ROOM,
) -> Decimal:
    """The strength that "20 %" means, by how it is read; ``figure`` is 20.

    "mass": g in 100 g of solution. "per 100 g water": g added to 100 g of water.
    "per 100 mL": g in 100 mL of solution, which needs a table of its densities.
    Raises Refused where it has none.
    """
    above_zero(figure, "the figure")
    with localcontext(EXACT):
        match reading:
            case "mass":
                return share(figure / 100, "the strength")
            case "per 100 g water":
                return figure / (100 + figure)
            case "per 100 mL" if points:
                return _found(
                    _curve(points, temperature),
                    lambda strength, density: strength * density,
                    figure / 100,
                    f"{plain(figure)} g in 100 mL",
                )
            case "per 100 mL":
                raise Refused(
                    "Give the density: grams in 100 mL say no strength alone."
                )
    raise Refused(f"Read the figure as one of {', '.join(READINGS)}, not {reading!r}.")


def density_at(
    points: Sequence[DensityPoint], strength: Decimal, temperature: Decimal = ROOM
) -> Decimal:
    """g/mL between the rows of a table, linear; Refused outside of it."""
    share(strength, "the strength")
    with localcontext(EXACT):
        return _on(
            _curve(points, temperature), strength, f"a strength of {plain(strength)}"
        )


def strength_from_density(
    points: Sequence[DensityPoint], density: Decimal, temperature: Decimal = ROOM
) -> Decimal:
    """The strength behind a density in g/mL, as a hydrometer reads it."""
    above_zero(density, "the density")
    with localcontext(EXACT):
        curve = [(d, s) for s, d in _curve(points, temperature)]
        return _on(curve, density, f"a density of {plain(density)} g/mL")


def _curve(
    points: Sequence[DensityPoint], temperature: Decimal
) -> list[tuple[Decimal, Decimal]]:
    """Strength and density at one temperature, between the two nearest tabled ones."""
    stated(temperature, "the temperature")
    below = [p.temperature for p in points if p.temperature <= temperature]
    above = [p.temperature for p in points if p.temperature >= temperature]
    if not below or not above:
        known = sorted({p.temperature for p in points})
        told = f"{plain(known[0])} to {plain(known[-1])} degC" if known else "nothing"
        raise Refused(
            f"{plain(temperature)} degC is outside the table, which covers {told}."
        )
    cold, warm = max(below), min(above)
    at_cold, at_warm = (
        {p.strength: p.density for p in points if p.temperature == t}
        for t in (cold, warm)
    )
    part = (temperature - cold) / (warm - cold) if warm != cold else ZERO
    return [
        (strength, at_cold[strength] + part * (at_warm[strength] - at_cold[strength]))
        for strength in sorted(at_cold.keys() & at_warm.keys())
    ]


def _on(curve: Sequence[tuple[Decimal, Decimal]], at: Decimal, what: str) -> Decimal:
    """The height of a line through tabled points, rising from left to right."""
    for (left, low), (right, high) in pairwise(curve):
        if left <= at <= right:
            return low + (high - low) * (at - left) / (right - left)
    raise _outside(curve, what)


def _found(
    curve: Sequence[tuple[Decimal, Decimal]],
    height: Callable[[Decimal, Decimal], Decimal],
    wanted: Decimal,
    what: str,
) -> Decimal:
    """The strength at which a rising figure of strength and density is as wanted."""
    for (left, low), (right, high) in pairwise(curve):
        if not height(left, low) <= wanted <= height(right, high):
            continue
        slope = (high - low) / (right - left)
        for _ in range(120):
            middle = (left + right) / 2
            density = low + slope * (middle - left)
            if height(middle, density) < wanted:
                left, low = middle, density
            else:
                right = middle
        return right
    raise _outside(curve, what)


def _outside(curve: Sequence[tuple[Decimal, Decimal]], what: str) -> Refused:
    told = f"{plain(curve[0][0])} to {plain(curve[-1][0])}" if curve else "nothing"
    return Refused(f"The table has no row for {what}: there it covers {told}.")


def volume(mass: Decimal, density: Decimal) -> Decimal:
    """mL of so many grams."""
    with localcontext(EXACT):
        return not_negative(mass, "the grams") / above_zero(density, "the density")


def mass(volume: Decimal, density: Decimal) -> Decimal:
    """Grams of so many mL."""
    with localcontext(EXACT):
        return not_negative(volume, "the mL") * above_zero(density, "the density")


def solubility(alkali: str, temperature: Decimal = ROOM) -> Decimal:
    """Grams of KOH or NaOH that 100 g of water dissolve, from 0 to 50 degC.

    Linear between published rows. NaOH changes its hydrate between 10 and 20 degC;
    the true curve stands above the line there, so the line warns early.
    """
    if alkali not in SOLUBILITY:
        raise Refused(f"The alkali is KOH or NaOH, not {alkali!r}.")
    stated(temperature, "the temperature")
    rows = sorted(SOLUBILITY[alkali].items())
    if not rows[0][0] <= temperature <= rows[-1][0]:
        raise Refused(
            f"The solubility of {alkali} is known here from {plain(rows[0][0])} to "
            f"{plain(rows[-1][0])} degC, not at {plain(temperature)} degC."
        )
    with localcontext(EXACT):
        return _on(rows, temperature, f"{plain(temperature)} degC")


def check_lye(
    alkali: str, pure: Decimal, water: Decimal, temperature: Decimal = ROOM
) -> str | None:
    """A remark where the water cannot hold that much pure alkali, else None.

    Ask with the coldest place that the lye will stand in.
    """
    not_negative(pure, f"the grams of {alkali}")
    not_negative(water, "the grams of water")
    with localcontext(EXACT):
        needed = 100 * pure / solubility(alkali, temperature)
    if needed <= water:
        return None
    return (
        f"At {plain(temperature)} degC {grams(pure)} g of {alkali} need "
        f"{grams(needed)} g of water to dissolve and have {grams(water)} g: part of it "
        "stays solid or crystallises out again. Use more water, or keep the lye warmer."
    )


def lye_density(
    alkali: str,
    strength: Decimal,
    tables: Mapping[str, Sequence[DensityPoint]],
    temperature: Decimal = ROOM,
) -> Decimal:
    """g/mL of a clear lye of one alkali; ``strength`` is pure alkali over whole lye.

    Raises Refused for a lye that its solubility does not allow, and off the table.
    """
    if alkali not in ALKALIS or alkali not in tables:
        raise Refused(f"There is no density table for a lye of {alkali!r}.")
    density = density_at(tables[alkali], strength, temperature)
    with localcontext(EXACT):
        remark = check_lye(alkali, strength, ONE - strength, temperature)
    if remark:
        raise Refused(remark)
    return density
