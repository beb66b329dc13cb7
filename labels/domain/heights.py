"""How high letters must be, by panel and contents, each with its clause."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Literal

from labels.domain.clauses import Clause
from labels.domain.net_contents import NetContents
from labels.domain.rules import Clauses
from production.quantities.domain.refusal import Refused

Shape = Literal["label", "flat", "round"]
INCH = Decimal("25.4")
SQUARE_INCH = INCH**2

# Up to so many square inches: so many sixteenths of an inch (21 CFR 701.13(i)).
US_STEPS = ((5, 1), (25, 2), (100, 3), (400, 4))
US_LARGEST = 8
# Up to so many cm2: so many mm (C.R.C., c. 417, s. 14).
CA_STEPS = ((32, "1.6"), (258, "3.2"), (645, "6.4"), (2580, "9.5"))
CA_LARGEST = "12.7"
# Up to so many mL or g: so many mm (Directive 76/211/EEC Annex I 3.1).
EU_STEPS = ((50, 2), (200, 3), (1000, 4))
EU_LARGEST = 6


@dataclass(frozen=True, slots=True)
class Panel:
    """The side that is shown, in mm2; ``surface`` is all that can bear a label."""

    area: Decimal
    surface: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Heights:
    """The least heights in mm: figures and lower-case letters of the contents, and
    lower-case letters of the ingredients, of warnings and of all other text.
    ``within``: the share of the height, from the foot, in which the contents stand;
    ``apart``: clear of other print."""

    net_figures: Decimal
    net_letters: Decimal
    ingredients: Decimal
    warnings: Decimal
    text: Decimal
    net_clause: Clause
    text_clause: Clause
    within: Decimal | None = None
    apart: bool = False
    place_clause: Clause | None = None


def panel(shape: Shape, height: Decimal, across: Decimal) -> Panel:
    """``across`` is the width of a flat side, or all the way round a bottle; mm.

    A round bottle shows 40 % of its wall; ``label`` takes the label itself as the
    panel. 21 CFR 701.10, verified in its twin 16 CFR 500.21(a); C.R.C., c. 417,
    s. 2(1), verified.
    """
    if height <= 0 or across <= 0:
        raise Refused("Give the panel a height and a width above 0 mm.")
    whole = height * across
    if shape == "round":
        return Panel(whole * Decimal("0.4"), whole)
    return Panel(whole)


def _step(
    value: Decimal, steps: Sequence[tuple[int, int | str]], most: int | str
) -> Decimal:
    return Decimal(next((height for upto, height in steps if value <= upto), most))


def _legible(shown: Panel) -> Decimal:
    """Where no height is fixed: that of food labels, 0.9 mm below 80 cm2 (from memory,
    Regulation (EU) 1169/2011 Art 13)."""
    return Decimal("0.9") if shown.area < 8000 else Decimal("1.2")


def us_heights(contents: NetContents | None, shown: Panel, clauses: Clauses) -> Heights:
    """By the area of the display panel."""
    inches = shown.area / SQUARE_INCH
    net = _step(inches, US_STEPS, US_LARGEST) * INCH / 16
    bears_little = shown.surface is not None and shown.surface < 12 * SQUARE_INCH
    return Heights(
        net_figures=net,
        net_letters=net,
        ingredients=INCH / (32 if bears_little else 16),
        warnings=INCH / 16,
        text=_legible(shown),
        net_clause=clauses["net height"],
        text_clause=clauses["text height"],
        within=Decimal("0.3") if inches > 5 else None,
        apart=True,
        place_clause=clauses["net place"],
    )


def eu_heights(contents: NetContents | None, shown: Panel, clauses: Clauses) -> Heights:
    """The figures by the contents; of the rest no height is fixed."""
    amount = contents.declared.amount if contents else Decimal(0)
    text = _legible(shown)
    return Heights(
        net_figures=_step(amount, EU_STEPS, EU_LARGEST),
        net_letters=text,
        ingredients=text,
        warnings=text,
        text=text,
        net_clause=clauses["net height"],
        text_clause=clauses["text height"],
    )


def uk_heights(contents: NetContents | None, shown: Panel, clauses: Clauses) -> Heights:
    """The same steps for figures and units. SI 2006/659 reg 8(3)(d)."""
    least = eu_heights(contents, shown, clauses)
    return replace(least, net_letters=least.net_figures)


def ca_heights(contents: NetContents | None, shown: Panel, clauses: Clauses) -> Heights:
    """By the area of the display surface."""
    square_cm = shown.area / 100
    text = Decimal("0.8") if square_cm <= 10 else Decimal("1.6")
    return Heights(
        net_figures=_step(square_cm, CA_STEPS, CA_LARGEST),
        net_letters=Decimal("1.6"),
        ingredients=text,
        warnings=text,
        text=text,
        net_clause=clauses["net height"],
        text_clause=clauses["text height"],
    )
