"""Figures cut for a label, so that none says more than what is inside."""

from decimal import ROUND_DOWN, Decimal

from production.quantities.domain.units import GRAMS, MILLILITRES

FLUID_OUNCE = MILLILITRES["floz"]
OUNCE = GRAMS["oz"]
# An older print of 16 CFR 500.19(a), for what is no cosmetic; the present one points to
# Handbook 133, Appendix E, which nobody here has read. They differ from the exact
# factors in the seventh figure, so that a cut may fall elsewhere.
SIX_FIGURES = {
    FLUID_OUNCE: (Decimal("29.5735"), Decimal("0.0338140")),
    OUNCE: (Decimal("28.3495"), Decimal("0.0352740")),
}
FIGURES = 3
# 21 CFR 701.13(d): at most two places on a cosmetic; 16 CFR 500.17(a) allows a true
# soap three, so two suit both.
PLACES = 2


def cut(value: Decimal, figures: int, places: int = PLACES) -> Decimal:
    """Keep so many figures and at most so many decimals, never rounding up."""
    return value.quantize(step(value, figures, places), ROUND_DOWN)


def step(value: Decimal, figures: int = FIGURES, places: int = PLACES) -> Decimal:
    """The last place that ``cut`` keeps: 1 of 236, 0.01 of 8.45."""
    return Decimal(1).scaleb(max(value.adjusted() - figures + 1, -places))


def metric_figure(amount: Decimal) -> Decimal:
    """Three figures, two below 100 mL or g: 16 CFR 500.19(b); C.R.C., c. 417, s. 25."""
    return cut(amount, 2 if amount < 100 else FIGURES)


def ounces_of(amount: Decimal, unit: Decimal) -> Decimal:
    """Ounces of so many mL or g, cut by the exact factor and by that of the older
    rule; the less counts."""
    into = SIX_FIGURES[unit][1]
    return min(cut(amount / unit, FIGURES), cut(amount * into, FIGURES))


def metric_of(ounces: Decimal, unit: Decimal) -> Decimal:
    """mL or g of so many ounces, in the same way."""
    out_of = SIX_FIGURES[unit][0]
    return min(metric_figure(ounces * unit), metric_figure(ounces * out_of))
