"""How high letters must be, by panel and contents, each with its clause."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from labels.domain.net_contents import NetContents
from labels.domain.rules import Clause
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

US_NET = Clause(
    "net height",
    "letters of the contents by the area of the display panel; in mixed case the "
    "lower case o reaches it",
    "21 CFR 701.13(h),(i)",
    "recalled",
)
US_PLACE = Clause(
    "net place",
    "the contents stand within the lowest 30 % of a panel over 5 sq in",
    "21 CFR 701.13(f)",
    "secondary",
)
US_TEXT = Clause(
    "text height",
    "ingredients and warnings at least 1/16 in; ingredients 1/32 in where less than "
    "12 sq in can bear a label",
    "21 CFR 701.3(b),(p), 740.2",
    "secondary",
)
EU_NET = Clause(
    "net height",
    "figures of 2, 3, 4 or 6 mm by the contents",
    "Directive 76/211/EEC Annex I 3.1",
    "verified",
)
EU_TEXT = Clause(
    "text height",
    "easily legible; the least height is ours, borrowed from food labels",
    "Regulation (EC) 1223/2009 Art 19(1); Regulation (EU) 1169/2011 Art 13",
    "recalled",
)
CA_NET = Clause(
    "net height",
    "bold figures by the area of the display surface; the rest 1.6 mm",
    "C.R.C., c. 417, s. 14",
    "verified",
)
CA_TEXT = Clause(
    "text height",
    "1.6 mm by the lower case o; 0.8 mm on a surface of 10 cm2 or less",
    "C.R.C., c. 417, s. 14(1), 15, 16",
    "verified",
)


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


def heights(rules: str, contents: NetContents | None, shown: Panel) -> Heights:
    """The least heights under ``us``, ``eu`` or ``ca``; clauses beside them."""
    if rules == "us":
        return _us(shown)
    if rules == "ca":
        return _ca(shown)
    return _eu(contents, shown)


def _step(
    value: Decimal, steps: Sequence[tuple[int, int | str]], most: int | str
) -> Decimal:
    return Decimal(next((height for upto, height in steps if value <= upto), most))


def _legible(shown: Panel) -> Decimal:
    """Where no height is fixed: that of food labels, 0.9 mm below 80 cm2 (from memory,
    Regulation (EU) 1169/2011 Art 13)."""
    return Decimal("0.9") if shown.area < 8000 else Decimal("1.2")


def _us(shown: Panel) -> Heights:
    inches = shown.area / SQUARE_INCH
    net = _step(inches, US_STEPS, US_LARGEST) * INCH / 16
    bears_little = shown.surface is not None and shown.surface < 12 * SQUARE_INCH
    return Heights(
        net_figures=net,
        net_letters=net,
        ingredients=INCH / (32 if bears_little else 16),
        warnings=INCH / 16,
        text=_legible(shown),
        net_clause=US_NET,
        text_clause=US_TEXT,
        within=Decimal("0.3") if inches > 5 else None,
        apart=True,
    )


def _eu(contents: NetContents | None, shown: Panel) -> Heights:
    amount = contents.declared.amount if contents else Decimal(0)
    text = _legible(shown)
    return Heights(
        net_figures=_step(amount, EU_STEPS, EU_LARGEST),
        net_letters=text,
        ingredients=text,
        warnings=text,
        text=text,
        net_clause=EU_NET,
        text_clause=EU_TEXT,
    )


def _ca(shown: Panel) -> Heights:
    square_cm = shown.area / 100
    text = Decimal("0.8") if square_cm <= 10 else Decimal("1.6")
    return Heights(
        net_figures=_step(square_cm, CA_STEPS, CA_LARGEST),
        net_letters=Decimal("1.6"),
        ingredients=text,
        warnings=text,
        text=text,
        net_clause=CA_NET,
        text_clause=CA_TEXT,
    )
