"""What a label says is inside, in the units of each set of rules, never more."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_DOWN, Decimal

from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused
from production.quantities.domain.units import GRAMS, MILLILITRES, read_measures

FLUID_OUNCE = MILLILITRES["floz"]
OUNCE = GRAMS["oz"]
# 16 CFR 500.19(a), for what is no cosmetic: "these factors and none others". They
# differ from the exact ones in the seventh figure, so that a cut may fall elsewhere.
SIX_FIGURES = {
    FLUID_OUNCE: (Decimal("29.5735"), Decimal("0.0338140")),
    OUNCE: (Decimal("28.3495"), Decimal("0.0352740")),
}
METRIC = {"ml", "cl", "l", "g", "kg", "mg"}
UNITS: Mapping[str, Decimal] = {**MILLILITRES, **GRAMS}
_AS = "a number and a unit, such as 8 fl oz or 250 mL"

PINT, GALLON = Decimal(16), Decimal(128)  # in fluid ounces
POUND, FOUR_POUNDS = Decimal(16), Decimal(64)  # in ounces
VOLUMES = (("gal", GALLON), ("qt", Decimal(32)), ("pt", PINT), ("fl oz", Decimal(1)))
WEIGHTS = (("lb", POUND), ("oz", Decimal(1)))


@dataclass(frozen=True, slots=True)
class Declared:
    """What a maker promises is inside, exact, in mL or g, beside what was typed."""

    typed: str
    amount: Decimal
    by_volume: bool
    metric: bool


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


def read_contents(text: str) -> Declared:
    """Read ``8 fl oz``, ``500 mL`` or ``1 lb 8 oz``; ``fl oz`` is US.

    Refused for a word that is no unit ("giant"), for weight mixed with volume, and
    for nothing.
    """
    typed = text.strip()
    if not typed:
        raise Refused(f"Write the contents as {_AS}: nothing stands there.")
    try:
        measures = read_measures(typed.lower(), typed)
    except Refused as fault:
        raise Refused(f"{fault} Contents are {_AS}.") from None
    for _, unit in measures:
        if unit not in UNITS:
            raise Refused(
                f"{unit or typed} is no unit of a label: write mL, L, fl oz, pt, g, "
                "kg, oz or lb, and no other word beside it."
            )
    if len({unit in GRAMS for _, unit in measures}) > 1:
        raise Refused(f"{typed} mixes weight and volume: write one or the other.")
    amount = sum((number * UNITS[unit] for number, unit in measures), Decimal(0))
    if not 0 < amount <= 100_000:
        raise Refused(f"{typed} is no bottle: write what one of them holds.")
    units = {unit for _, unit in measures}
    return Declared(typed, amount, not units & GRAMS.keys(), units <= METRIC)


def cut(value: Decimal, figures: int) -> Decimal:
    """Keep so many figures and at most two decimals, never rounding up."""
    last = max(value.adjusted() - figures + 1, -2)
    return value.quantize(Decimal(1).scaleb(last), ROUND_DOWN)


def metric_contents(declared: Declared) -> NetContents:
    """The statement in mL or g, three figures or two, never more than there is.

    Directive 76/211/EEC Annex I 3.1, read in its UK twin; C.R.C., c. 417, s. 25 to
    27, verified.
    """
    held = _metric_figure(declared.amount)
    return NetContents((_metric(held, declared),), declared, held)


def uk_contents(declared: Declared) -> NetContents:
    """Metric first; what was typed in ounces may stand beside it. SI 2006/659 reg 8."""
    return metric_contents(declared)


def us_contents(declared: Declared) -> NetContents:
    """Both systems. 15 USC 1453(a)(2),(3), verified; 21 CFR 701.13, verified."""
    unit = FLUID_OUNCE if declared.by_volume else OUNCE
    figure, held = _both(declared, unit)
    if not figure:
        raise Refused(f"{declared.typed} is too little to be told in ounces.")
    first, *rest = _customary(figure, declared.by_volume)
    metric = _metric(held, declared)
    # In brackets below a pint or pound; above it the larger units have them.
    last = metric if rest else f"({metric})"
    lead = "" if declared.by_volume else "Net Wt "
    parts = (lead + first, *rest, last)
    return NetContents(parts, declared, max(figure * unit, held))


def _both(declared: Declared, unit: Decimal) -> tuple[Decimal, Decimal]:
    """The figures in ounces and in mL or g: what was typed stays, the converted one
    is cut by the exact factor and by that of the trade rule, and the less counts."""
    amount, (out_of, into) = declared.amount, SIX_FIGURES[unit]
    if declared.metric:
        figure = min(cut(amount / unit, 3), cut(amount * into, 3))
        return figure, _metric_figure(amount)
    figure = amount / unit
    held = min(_metric_figure(amount), _metric_figure(figure * out_of))
    return cut(figure, 3), held


def _metric_figure(amount: Decimal) -> Decimal:
    """Three figures, two below 100 mL or g."""
    return cut(amount, 2 if amount < 100 else 3)


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
