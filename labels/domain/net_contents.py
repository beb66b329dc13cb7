"""What a label says is inside, in the units of each set of rules, never more."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from labels.domain.contents_text import Declared, read_contents
from labels.domain.cutting import (
    FIGURES,
    FLUID_OUNCE,
    OUNCE,
    cut,
    metric_figure,
    metric_of,
    ounces_of,
)
from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused

__all__ = (
    "FLUID_OUNCE",
    "OUNCE",
    "Declared",
    "NetContents",
    "canada_contents",
    "cut",
    "metric_contents",
    "read_contents",
    "uk_contents",
    "us_contents",
)

PINT, GALLON = Decimal(16), Decimal(128)  # in fluid ounces
POUND, FOUR_POUNDS = Decimal(16), Decimal(64)  # in ounces
VOLUMES = (("gal", GALLON), ("qt", Decimal(32)), ("pt", PINT), ("fl oz", Decimal(1)))
WEIGHTS = (("lb", POUND), ("oz", Decimal(1)))
_ALL = 12  # figures: all of them


@dataclass(frozen=True, slots=True)
class NetContents:
    """The statement as it is printed; ``parts`` may stand on lines of their own.

    ``binding`` is what the pack must hold: the largest of the figures that are
    printed is the one enforced, in mL or g.
    """

    parts: tuple[str, ...]
    declared: Declared
    binding: Decimal

    def __str__(self) -> str:
        return " ".join(self.parts)


def metric_contents(declared: Declared) -> NetContents:
    """One figure in mL, L, g or kg, a metric amount as it was typed: ``250 mL``.

    Directive 76/211/EEC Annex I 3.1 fixes no number of figures; a converted amount is
    cut to three, two below 100.
    """
    amount = declared.amount
    held = cut(amount, _ALL) if declared.metric else metric_figure(amount)
    return _told_in_metric(declared, held)


def uk_contents(declared: Declared) -> NetContents:
    """The same: imperial units may stand beside it, ours stand nowhere.

    SI 2006/659 reg 8(3).
    """
    return metric_contents(declared)


def canada_contents(declared: Declared) -> NetContents:
    """One metric figure, cut to three places, two below 100: ``1.65 L``.

    C.R.C., c. 417, s. 25 to 27, verified; cut, so that it never overstates.
    """
    return _told_in_metric(declared, metric_figure(declared.amount))


def us_contents(declared: Declared) -> NetContents:
    """Both systems: ``8 fl oz (236 mL)``, ``Net Wt 24 oz (1 lb 8 oz) 680 g``.

    15 USC 1453(a)(2),(3); 21 CFR 701.13(j)(1),(2) and (k): "Net Wt" stands with a
    weight; from a pint (a pound) the larger whole units stand in brackets, from a
    gallon (4 lb) they stand alone. That the converted figure is cut and not rounded is
    practice, from memory. Refused for less than 0.01 ounce.
    """
    unit = FLUID_OUNCE if declared.by_volume else OUNCE
    figure, held = _both(declared, unit)
    if not figure or not held:
        raise Refused(f"{declared.typed} is too little to be told in ounces.")
    first, *rest = _customary(figure, declared.by_volume)
    metric = _metric(held, declared)
    # In brackets below a pint or pound; above it the larger units have them.
    last = metric if rest else f"({metric})"
    lead = "" if declared.by_volume else "Net Wt "
    parts = (lead + first, *rest, last)
    return NetContents(parts, declared, max(figure * unit, held))


def _told_in_metric(declared: Declared, held: Decimal) -> NetContents:
    if not held:
        raise Refused(f"{declared.typed} is too little to be told on a label.")
    return NetContents((_metric(held, declared),), declared, held)


def _both(declared: Declared, unit: Decimal) -> tuple[Decimal, Decimal]:
    """The figures in ounces and in mL or g: neither is more than typed."""
    if declared.metric:
        figure = ounces_of(declared.amount, unit)
        held = metric_figure(declared.amount)
    else:
        figure = cut(declared.amount / unit, FIGURES)
        held = metric_of(declared.amount / unit, unit)
    # The larger one is what the label says: the other follows from it, so that what is
    # printed reads back to itself.
    if figure * unit > held:
        return figure, metric_of(figure, unit)
    return ounces_of(held, unit), held


def _metric(held: Decimal, declared: Declared) -> str:
    """The larger unit from 1,000 on."""
    small, large = ("mL", "L") if declared.by_volume else ("g", "kg")
    if held >= 1000:
        return f"{plain(held / 1000)} {large}"
    return f"{plain(held)} {small}"


def _customary(figure: Decimal, by_volume: bool) -> list[str]:
    """Ounces first; from a pint (a pound) to under a gallon (4 lb) whole units too."""
    ounces = f"{plain(figure)} {'fl oz' if by_volume else 'oz'}"
    units = VOLUMES if by_volume else WEIGHTS
    least, most = (PINT, GALLON) if by_volume else (POUND, FOUR_POUNDS)
    if figure < least:
        return [ounces]
    whole = _in_whole_units(figure, units)
    return [whole] if figure >= most else [ounces, f"({whole})"]


def _in_whole_units(figure: Decimal, units: Sequence[tuple[str, Decimal]]) -> str:
    """``1 qt 1 pt 8 fl oz``: the largest whole units, the rest in the smallest."""
    words = []
    for name, size in units[:-1]:
        count, figure = divmod(figure, size)
        if count:
            words.append(f"{plain(count)} {name}")
    if figure:
        words.append(f"{plain(figure)} {units[-1][0]}")
    return " ".join(words)
