"""A label as it is drawn, on a screen and on paper alike; lengths in mm."""

from dataclasses import dataclass, replace
from decimal import ROUND_UP, Decimal
from math import atan2, degrees

from labels.domain.columns import Faces, Jar, Line, Rule
from labels.domain.inks import Ink, Placed
from labels.domain.label import Missing

FINE = Decimal("0.01")
ONE = Decimal(1)
DRAFT, DEMO, LOOK = "DRAFT", "DEMO", "NOT ISSUED"
NO_ROOM = (
    "There is no room for your mark, so it is left out: choose a larger label, or a "
    "front and a back."
)
FINE_PRINT = 300  # dots per inch


@dataclass(frozen=True, slots=True)
class Drawing:
    """A label, drawn. It is a draft while anything is missing; ``back`` goes onto the
    other side of the bottle, and what it lacks is missing here too. An ``overlay``
    holds what alone differs between labels; ``language`` is the first one on it;
    ``look``: it is not issued, and says so across."""

    width: Decimal
    height: Decimal
    lines: tuple[Line, ...]
    rules: tuple[Rule, ...]
    jars: tuple[Jar, ...]
    missing: tuple[Missing, ...]
    inks: tuple[Ink, ...] = ()
    marks: tuple[Placed, ...] = ()
    back: "Drawing | None" = None
    overlay: bool = False
    language: str = "en"
    mark_left_out: bool = False
    look: bool = False

    @property
    def draft(self) -> bool:
        return bool(self.missing)

    def looked_at(self) -> "Drawing":
        """The same before it is issued."""
        back = self.back.looked_at() if self.back else None
        return replace(self, look=True, back=back)

    @property
    def sides(self) -> tuple["Drawing", ...]:
        return (self, self.back) if self.back else (self,)

    @property
    def remarks(self) -> tuple[str, ...]:
        """What hinders nothing and is better known before it is printed."""
        coarse = tuple(
            f"The mark is printed at {dots} dots per inch: from {FINE_PRINT} on it is "
            "sharp. Take a larger picture, or an SVG."
            for side in self.sides
            for one in side.marks
            if (dots := one.dots_per_inch) is not None and dots < FINE_PRINT
        )
        return (NO_ROOM,) if self.mark_left_out else coarse


@dataclass(frozen=True, slots=True)
class Across:
    """A word from corner to corner: its middle, turn in degrees, type."""

    text: str
    x: Decimal
    y: Decimal
    turn: Decimal
    size: Decimal
    half: Decimal
    drop: Decimal
    stroke: Decimal


def word_across(drawing: Drawing, faces: Faces, *, demo: bool) -> Across | None:
    """Why a label must not go on a bottle, if so: over its diagonal, well inside."""
    if drawing.overlay:
        return None
    words = (
        (DEMO, demo),
        (DRAFT, drawing.draft),
        (LOOK, drawing.look and not drawing.draft),
    )
    text = " ".join(word for word, says in words if says)
    if not text:
        return None
    width, height = drawing.width, drawing.height
    diagonal = (width**2 + height**2).sqrt()
    size = min(
        diagonal * Decimal("0.62") / faces.bold.width(text, ONE),
        min(width, height) * Decimal("0.5"),
    )
    return Across(
        text=text,
        x=width / 2,
        y=height / 2,
        turn=-Decimal(degrees(atan2(height, width))).quantize(FINE),
        size=fine(size),
        half=fine(faces.bold.width(text, size) / 2),
        drop=fine(faces.bold.capital * size / 2000),
        stroke=fine(size / 60),
    )


def fine(value: Decimal) -> Decimal:
    return value.quantize(FINE, ROUND_UP)
