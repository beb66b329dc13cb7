"""How high letters must be, by panel and contents, each with its clause."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Literal

from labels.domain.clauses import Clause
from labels.domain.net_contents import NetContents
from labels.domain.rules import Clauses
from production.quantities.domain.refusal import Refused

Shape = Literal["", "label", "flat", "round", "other"]
INCH = Decimal("25.4")
SQUARE_INCH = INCH**2
SIXTEENTH = INCH / 16
PI = Decimal("3.14159265358979")
SHOWN = Decimal("0.4")  # 21 CFR 701.10: of a round wall, or of any other surface
LOW = Decimal("0.3")  # 21 CFR 701.13(f): of the panel's area, from its base
SMALL_PANEL = 5 * SQUARE_INCH  # 21 CFR 701.13(f)(1)
SMALL_SURFACE = 12 * SQUARE_INCH  # 21 CFR 701.3(p)

Steps = Sequence[tuple[Decimal, Decimal]]


def _steps(unit: Decimal, size: Decimal, *rows: tuple[object, object]) -> Steps:
    """Up to so many of a unit of area, in mm2: letters of so many sizes, in mm."""
    return [
        (Decimal(str(upto)) * unit, Decimal(str(high)) * size) for upto, high in rows
    ]


SQUARE_CM = Decimal(100)
MM = Decimal(1)
# 21 CFR 701.13(i): square inches, sixteenths of an inch.
US_STEPS = _steps(SQUARE_INCH, SIXTEENTH, (5, 1), (25, 2), (100, 3), (400, 4))
US_LARGEST = 8 * SIXTEENTH
# 16 CFR 500.21(b) to (g), true soap: the same steps, and their metric figures, which
# end a little sooner. Square centimetres, mm.
FTC_STEPS = _steps(
    SQUARE_CM, MM, ("32.2", "1.5"), (161, "3.1"), (645, "4.7"), (2580, "6.35")
)
FTC_LARGEST = Decimal("12.7")
FTC_MOULDED = Decimal("1.5")
# 16 CFR 500.21(h): no letter of an SI symbol stands under it.
SI_LETTER = Decimal("1.6")
# C.R.C., c. 417, s. 14: square inches with their metric figures, of which the metric
# end a little sooner; mm.
CA_STEPS = _steps(SQUARE_CM, MM, (32, "1.6"), (258, "3.2"), (645, "6.4"), (2580, "9.5"))
CA_LARGEST = Decimal("12.7")
# Up to so many mL or g: so many mm (Directive 76/211/EEC Annex I 3.1).
EU_STEPS = _steps(MM, MM, (50, 2), (200, 3), (1000, 4))
EU_LARGEST = Decimal(6)


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


@dataclass(frozen=True, slots=True)
class Bottle:
    """What is known of what a label goes onto; mm, and mm2 of ``surface``.

    ``height`` is that of the straight wall, without neck, shoulders and base;
    ``across`` the width of a flat side, or once round a bottle. ``surface`` is all
    that can bear a label, which decides where the bottle has no side or wall.
    """

    shape: Shape = ""
    height: Decimal | None = None
    across: Decimal | None = None
    diameter: Decimal | None = None
    surface: Decimal | None = None

    @property
    def around(self) -> Decimal | None:
        """Width, or once round, from the diameter where only that was measured."""
        if self.shape == "round" and self.diameter and not self.across:
            return self.diameter * PI
        return self.across

    @property
    def unsaid(self) -> str:
        """What is still to be said of it; "" where its panel is known."""
        if not self.shape:
            return (
                "Say on the label card what the bottle is like and measure its "
                "straight wall: the height of the letters follows from there."
            )
        if self.shape == "flat" and not (self.height and self.across):
            return "Give the height and the width of the side that is shown."
        if self.shape == "round" and not (self.height and self.around):
            return (
                "Give the height of the straight wall, and once round it or its "
                "diameter."
            )
        if self.shape == "other" and not self.surface:
            return "Give all of the surface of the bottle without base and neck."
        return ""

    def panel(self, label_height: Decimal, label_width: Decimal) -> Panel:
        """The side that is shown; that of the label while nothing else is known."""
        if self.shape == "label" or self.unsaid:
            return panel("label", label_height, label_width)
        if self.shape == "other":
            return other_panel(self.surface or Decimal(0))
        shown = panel(self.shape, self.height or Decimal(0), self.around or Decimal(0))
        return replace(shown, surface=self.surface or shown.surface)


def panel(shape: Shape, height: Decimal, across: Decimal) -> Panel:
    """``across`` is the width of a flat side, or all the way round a bottle; mm.

    A round bottle shows 40 % of its wall; ``label`` is a label that covers all of the
    side that is shown. 21 CFR 701.10; 16 CFR 500.21(a); C.R.C., c. 417, s. 2(1).
    """
    if height <= 0 or across <= 0:
        raise Refused("Give the panel a height and a width above 0 mm.")
    whole = height * across
    if shape == "round":
        return Panel(whole * SHOWN, whole)
    return Panel(whole)


def other_panel(surface: Decimal) -> Panel:
    """40 % of all the surface in mm2, of a bottle that is neither flat nor round.

    21 CFR 701.10: without top, bottom, shoulders and neck.
    """
    if surface <= 0:
        raise Refused("Give the bottle a surface above 0.")
    return Panel(surface * SHOWN, surface)


def step(value: Decimal, steps: Steps, largest: Decimal) -> Decimal:
    """The least height in mm: that of the first step that is not passed."""
    return next((height for upto, height in steps if value <= upto), largest)


def moulded(height: Decimal, more: Decimal = SIXTEENTH) -> Decimal:
    """Of letters formed in the surface of the bottle: 1/16 in more.

    21 CFR 701.13(i), closing sentence; 16 CFR 500.21(g). Allowed only where all of the
    label's text is so formed: 701.13(h).
    """
    return height + more


def of_fraction(height: Decimal) -> Decimal:
    """Each figure of a common fraction reaches half of it: 21 CFR 701.13(h)(3)."""
    return height / 2


def low_enough(
    shown: Panel, height: Decimal, top: Decimal, *, otherwise_right: bool
) -> bool:
    """Whether contents whose top is so many mm above the base stand low enough.

    ``height`` is that of a panel with straight sides. A panel of 5 sq in or less is
    free of it, where the contents are ``otherwise_right``: 21 CFR 701.13(f)(1).
    """
    if otherwise_right and within(shown) is None:
        return True
    return top <= height * LOW


def within(shown: Panel) -> Decimal | None:
    """The share of the panel, from its base, in which the contents stand; None on a
    small one, where everything else about them is right."""
    return None if shown.area <= SMALL_PANEL else LOW


@dataclass(frozen=True, slots=True)
class Clear:
    """Blank mm above and below the contents, and on either side of them."""

    above: Decimal
    beside: Decimal


def clear_space(letter: Decimal, wide: Decimal) -> Clear:
    """By the height of the letters and the width of an N: 21 CFR 701.13(f)."""
    return Clear(letter, 2 * wide)


def si_letters(symbol: str) -> tuple[str, Decimal]:
    """Which letters of an SI symbol reach the full height, and the least of the rest.

    16 CFR 500.21(h): a capital L and a lower case d; no letter under 1.6 mm.
    """
    return "".join(letter for letter in symbol if letter in "Ld"), SI_LETTER


def _legible(shown: Panel) -> Decimal:
    """Where no height is fixed: that of food labels, 0.9 mm below 80 cm2 (from memory,
    Regulation (EU) 1169/2011 Art 13)."""
    return Decimal("0.9") if shown.area < 8000 else Decimal("1.2")


def us_heights(contents: NetContents | None, shown: Panel, clauses: Clauses) -> Heights:
    """By the area of the display panel: a cosmetic.

    A true soap keeps its own rules with it: its steps in inches are the same, and no
    letter of an SI symbol stands under 1.6 mm.
    """
    least = _by_area(shown, clauses, step(shown.area, US_STEPS, US_LARGEST))
    return replace(least, net_letters=max(least.net_letters, SI_LETTER))


def ftc_heights(
    contents: NetContents | None, shown: Panel, clauses: Clauses
) -> Heights:
    """The same of a true soap, which is no cosmetic: 16 CFR 500.21(b) to (h).

    Its letters stand in mixed case, and an SI symbol among them.
    """
    least = _by_area(shown, clauses, step(shown.area, FTC_STEPS, FTC_LARGEST))
    return replace(least, net_letters=max(least.net_letters, SI_LETTER))


def _by_area(shown: Panel, clauses: Clauses, net: Decimal) -> Heights:
    bears_little = shown.surface is not None and shown.surface < SMALL_SURFACE
    return Heights(
        net_figures=net,
        net_letters=net,
        ingredients=SIXTEENTH / 2 if bears_little else SIXTEENTH,
        warnings=SIXTEENTH,
        text=_legible(shown),
        net_clause=clauses["net height"],
        text_clause=clauses["text height"],
        within=within(shown),
        apart=True,
        place_clause=clauses["net place"],
    )


def eu_heights(contents: NetContents | None, shown: Panel, clauses: Clauses) -> Heights:
    """The figures by the contents; of the rest no height is fixed."""
    amount = contents.declared.amount if contents else Decimal(0)
    text = _legible(shown)
    return Heights(
        net_figures=step(amount, EU_STEPS, EU_LARGEST),
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
    text = Decimal("0.8") if shown.area <= 10 * SQUARE_CM else Decimal("1.6")
    return Heights(
        net_figures=step(shown.area, CA_STEPS, CA_LARGEST),
        net_letters=Decimal("1.6"),
        ingredients=text,
        warnings=text,
        text=text,
        net_clause=clauses["net height"],
        text_clause=clauses["text height"],
    )
