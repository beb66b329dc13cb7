"""What is wrong with a quantity as somebody worded it: our own words have no fault."""

import re
from collections.abc import Iterator, Sequence
from decimal import Decimal

from labels.domain.contents_text import UNITS, Figure, Part, read_contents
from labels.domain.cutting import FLUID_OUNCE, OUNCE, PLACES, metric_figure
from labels.domain.net_contents import FOUR_POUNDS, GALLON, PINT, POUND
from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused

# 21 CFR 701.13(d): others only by established custom.
BELOW = {2, 4, 8, 16, 32}
_FRACTION = re.compile(r"(\d+)\s*[/\u2044]\s*(\d+)")
_BARE_POINT = re.compile(r"(?<![0-9])[.,][0-9]")


def us_faults(
    text: str, *, places: int = PLACES, dual: bool = True, cosmetic: bool = True
) -> tuple[str, ...]:
    """What 21 CFR 701.13 has against a statement.

    ``places``: 2, of a true soap 3 (16 CFR 500.17(a)). ``dual``: both systems must
    stand in this text (15 USC 1453(a)(2)). ``cosmetic``: a weight must be called net
    weight, which a true soap is free to leave out (16 CFR 500.9).
    """
    try:
        declared = read_contents(text)
    except Refused as refusal:
        return (str(refusal),)
    customary = [one for one in declared.figures if not one.metric]
    found = [fault for one in customary for fault in _customary(one, places)]
    if not declared.by_volume and cosmetic and not declared.net_weight:
        found.append("A weight is called net weight or net wt.: 21 CFR 701.13(j)(2).")
    if customary:
        found += _larger_units(customary, by_volume=declared.by_volume)
    systems = {one.metric for one in declared.figures}
    if dual and len(systems) < 2:
        lacks = "metric" if False in systems else "inch/pound"
        found.append(f"The {lacks} amount stands beside it: 15 USC 1453(a)(2).")
    return tuple(found)


def uk_faults(text: str, *, imperial_larger: bool = False) -> tuple[str, ...]:
    """What SI 2006/659 reg 8(3) has against a statement; ``imperial_larger``: what
    stands beside the metric amount is larger, or stands out more."""
    try:
        declared = read_contents(text)
    except Refused as refusal:
        return (str(refusal),)
    found = []
    metric = [one for one in declared.figures if one.metric]
    if not metric:
        found.append("The amount is metric; imperial may be added: reg 8(3).")
    if any(part.fraction for one in metric for part in one.parts):
        found.append("No vulgar fractions: reg 8(3).")
    if len(metric) < len(declared.figures) and imperial_larger:
        found.append("What is added is not larger than the metric amount: reg 8(3).")
    return tuple(found)


def canada_forms(amount: Decimal, *, by_volume: bool = True) -> tuple[str, ...]:
    """How so many mL or g may be worded: C.R.C., c. 417, s. 25 to 27.

    mL or g below 1,000, of which 500 may also be 0.5 of the larger unit.
    """
    small, large = ("mL", "L") if by_volume else ("g", "kg")
    held = metric_figure(amount)
    in_large = f"{plain(held / 1000)} {large}"
    if held >= 1000:
        return (in_large,)
    told = f"{plain(held)} {small}"
    return (told, in_large) if held == 500 else (told,)


def canada_faults(text: str) -> tuple[str, ...]:
    """What c. 417, s. 25 to 27 has against the metric part of a statement."""
    try:
        declared = read_contents(text)
    except Refused as refusal:
        return (str(refusal),)
    metric = [one for one in declared.figures if one.metric]
    if not metric:
        return ("The amount is metric; Canadian units may be added: s. 21, 24.",)
    found = []
    if _BARE_POINT.search(text):
        found.append("A zero stands before the point: s. 26.")
    for one in metric:
        forms = canada_forms(one.amount, by_volume=one.by_volume)
        if any(part.fraction for part in one.parts) or str(one) not in forms:
            found.append(f"Write {' or '.join(forms)}, not {one}: s. 25 to 27.")
    return tuple(found)


def _customary(figure: Figure, places: int) -> Iterator[str]:
    """Fractions, decimals, and the order of the units of one amount."""
    for part in figure.parts:
        for above, below in _FRACTION.findall(_spelt(part)):
            if int(below) not in BELOW or int(above) % 2 == 0:
                yield (
                    f"{above}/{below}: halves to thirty-seconds in lowest terms stand "
                    "there: 21 CFR 701.13(d)."
                )
        decimals = part.written.replace(",", ".").partition(".")[2]
        if not part.fraction and len(decimals) > places:
            yield f"{part.written}: at most {places} decimals."
    for part, following in zip(figure.parts, figure.parts[1:], strict=False):
        if part.number != int(part.number):
            yield f"{figure}: only the last unit has a fraction."
        fits = _largest(following.amount, part)
        if fits and fits > UNITS[following.unit]:
            yield f"{figure}: the largest whole units stand there, 21 CFR 701.13(m)."


def _spelt(part: Part) -> str:
    """``1\u00bd`` as ``1 1/2``."""
    halves = {"\u00bd": "1/2", "\u00bc": "1/4", "\u00be": "3/4", "\u215b": "1/8"}
    halves |= {"\u215c": "3/8", "\u215d": "5/8", "\u215e": "7/8"}
    text = part.written
    for sign, spelt in halves.items():
        text = text.replace(sign, f" {spelt}")
    return text


def _largest(amount: Decimal, below: Part) -> Decimal | None:
    """The largest unit that goes into an amount, of those smaller than another."""
    names = ("gal", "qt", "pt", "floz") if below.unit in _VOLUMES else ("lb", "oz")
    sizes = (UNITS[name] for name in names)
    fits = [one for one in sizes if one < UNITS[below.unit] and one <= amount]
    return max(fits, default=None)


_VOLUMES = {"gal", "qt", "pt", "floz"}
_BARE = (["floz"], ["oz"])


def _larger_units(customary: Sequence[Figure], *, by_volume: bool) -> Iterator[str]:
    """Ounces first up to a gallon or 4 lb, with the larger units; from there none."""
    ounce = FLUID_OUNCE if by_volume else OUNCE
    least, most = (PINT, GALLON) if by_volume else (POUND, FOUR_POUNDS)
    many = customary[0].amount / ounce
    bare = [[part.unit for part in one.parts] in _BARE for one in customary]
    if many >= most and any(bare):
        yield "From 1 gallon or 4 lb no ounces stand first: 21 CFR 701.13(k)."
    if least <= many < most and not (bare[0] and not all(bare)):
        yield (
            "From a pint or a pound the ounces stand first and the larger units in "
            "brackets: 21 CFR 701.13(j)(1)."
        )
    names = ("gal", "qt", "pt", "floz") if by_volume else ("lb", "oz")
    for one, is_bare in zip(customary, bare, strict=True):
        sizes = [UNITS[name] for name in names if UNITS[name] <= one.amount]
        if not is_bare and sizes and UNITS[one.parts[0].unit] < max(sizes):
            yield f"{one}: the largest whole units stand there, 21 CFR 701.13(m)."
