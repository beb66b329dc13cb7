"""Where each word of a label stands, from the real widths and heights of its font.

All lengths are in mm, from the top left corner. What must have a least height has
it; everything else shrinks towards its own least height until all of it fits.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import ROUND_UP, Decimal
from math import atan2, degrees

from labels.domain.blocks import Sizes, set_body, set_foot, set_head, set_last
from labels.domain.columns import Column, Faces, Jar, Line, Rule
from labels.domain.heights import Heights
from labels.domain.label import LabelContent, Missing
from production.quantities.domain.numbers import ZERO, plain
from production.quantities.domain.refusal import Refused

FINE = Decimal("0.01")
ONE = Decimal(1)
DRAFT, DEMO, LOOK = "DRAFT", "DEMO", "NOT ISSUED"
# From generous to least, in this many steps.
STEPS = 20
# A label this much wider than high has its words beside each other.
SIDE_BY_SIDE = Decimal("1.5")
LEFT_SHARES = tuple(
    Decimal(share) for share in ("0.40", "0.36", "0.46", "0.52", "0.58")
)


@dataclass(frozen=True, slots=True)
class Drawing:
    """A label, drawn. It is a draft while anything is missing."""

    width: Decimal
    height: Decimal
    lines: tuple[Line, ...]
    rules: tuple[Rule, ...]
    jars: tuple[Jar, ...]
    missing: tuple[Missing, ...]

    @property
    def draft(self) -> bool:
        return bool(self.missing)


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


def word_across(
    drawing: Drawing, faces: Faces, *, demo: bool, look: bool = False
) -> Across | None:
    """Why a label must not go on a bottle, if so: over its diagonal, well inside.

    ``look``: it is looked at before it is issued.
    """
    words = (
        (DEMO, demo),
        (DRAFT, drawing.draft),
        (LOOK, look and not drawing.draft),
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
        size=_fine(size),
        half=_fine(faces.bold.width(text, size) / 2),
        drop=_fine(faces.bold.capital * size / 2000),
        stroke=_fine(size / 60),
    )


def _sizes(asked: "_Asked", t: Decimal, front: Decimal) -> Sizes:
    heights, faces = asked.heights, asked.faces
    least = min(asked.width, asked.height)
    text = size_for(heights.text, faces.regular.x)
    text += (max(text, least * Decimal("0.052")) - text) * t
    net = max(
        size_for(heights.net_figures, faces.bold.figure),
        size_for(heights.net_letters, faces.bold.x),
    )
    # The name stays in proportion to the boldest print beside it.
    smallest = max(text * Decimal("1.3"), net * Decimal("0.65"))
    largest = max(smallest, min(front * Decimal("0.17"), least * Decimal("0.2")))
    return Sizes(
        identity=_fine(smallest + (largest - smallest) * t),
        function=_fine(text * (Decimal("1.05") + t * Decimal("0.15"))),
        ingredients=max(_fine(text), size_for(heights.ingredients, faces.regular.x)),
        cautions=max(_fine(text), size_for(heights.warnings, faces.regular.x)),
        text=_fine(text),
        net=net,
    )


def size_for(height: Decimal, reach: int) -> Decimal:
    """The size of type at which letters of ``reach`` thousandths are so high."""
    # The renderer counts in 1/1024 of a point and rounds down.
    return _fine(height * 1000 / reach) + FINE


def _fine(value: Decimal) -> Decimal:
    return value.quantize(FINE, ROUND_UP)


def lay_out(
    content: LabelContent,
    width: Decimal,
    height: Decimal,
    heights: Heights,
    faces: Faces,
) -> Drawing:
    """Draw a label of this size; what does not fit is missing, never smaller.

    Refused for a sign that the font lacks, and for a label of no size.
    """
    if not (15 <= width <= 300 and 15 <= height <= 400):
        raise Refused("Make the label 15 to 300 mm wide and 15 to 400 mm high.")
    asked = _Asked(content, width, height, heights, faces)
    tried = []
    for step in range(STEPS, -1, -1):
        for trial in asked.trials(Decimal(step) / STEPS):
            if trial.fits:
                return trial.drawing()
            tried.append(trial)
    return min(tried, key=lambda trial: (trial.faults, trial.lacks)).drawing()


@dataclass(frozen=True, slots=True)
class _Asked:
    """What is to be drawn, and how large."""

    content: LabelContent
    width: Decimal
    height: Decimal
    heights: Heights
    faces: Faces

    @property
    def margin(self) -> Decimal:
        return _fine(max(Decimal(2), min(self.width, self.height) * Decimal("0.055")))

    @property
    def inner(self) -> Decimal:
        """The height between the margins."""
        return self.height - 2 * self.margin

    def trials(self, t: Decimal) -> Iterator["_Trial"]:
        if self.width < SIDE_BY_SIDE * self.height:
            yield _stacked(self, _sizes(self, t, self.width))
            return
        for share in LEFT_SHARES:
            front = self.width * share
            yield _side_by_side(self, _sizes(self, t, front), front)

    def column(self, left: Decimal, right: Decimal) -> Column:
        """Between two edges, with a margin inside each."""
        return Column(left + self.margin, right - left - 2 * self.margin, self.faces)

    def clear(self, sizes: Sizes) -> Decimal:
        """What is left blank above the contents: the height of its letters, and what
        hangs below the line before it."""
        if not self.heights.apart:
            return self.margin
        capital = self.faces.bold.capital * sizes.net / 1000
        return capital + self.faces.regular.descent * sizes.text / 1000


@dataclass(slots=True)
class _Trial:
    """One attempt: its columns, and how many mm it lacks in height or width."""

    asked: _Asked
    columns: list[Column]
    rules: list[Rule]
    lacks: Decimal
    net_too_wide: bool
    net_top: Decimal

    @property
    def net_too_high(self) -> bool:
        within = self.asked.heights.within
        return within is not None and self.net_top < self.asked.height * (1 - within)

    @property
    def faults(self) -> int:
        return self.net_too_wide + self.net_too_high

    @property
    def fits(self) -> bool:
        return not self.faults and self.lacks <= 0

    def drawing(self) -> Drawing:
        return Drawing(
            self.asked.width,
            self.asked.height,
            tuple(line for one in self.columns for line in one.lines),
            (*self.rules, *(rule for one in self.columns for rule in one.rules)),
            tuple(jar for one in self.columns for jar in one.jars),
            (*self.asked.content.missing, *self._too_small()),
        )

    def _too_small(self) -> Iterator[Missing]:
        heights = self.asked.heights
        if self.net_too_wide:
            yield Missing(
                "Net contents",
                f"They do not fit at letters of {_shown(heights.net_figures)} mm: "
                "choose a wider label.",
                heights.net_clause.cited,
            )
        if self.net_too_high and heights.place_clause:
            yield Missing(
                "Net contents",
                "They need more than the lowest 30 %: choose a larger label.",
                heights.place_clause.cited,
            )
        if self.lacks > 0:
            yield Missing(
                "Room for the text",
                f"At the least letters, {_shown(heights.ingredients)} mm in the "
                f"ingredient list, it lacks {plain(_tenths(self.lacks))} mm: choose a "
                "larger label, or say less.",
                heights.text_clause.cited,
            )


def _shown(height: Decimal) -> str:
    return plain(height.quantize(FINE))


def _tenths(lacks: Decimal) -> Decimal:
    return lacks.quantize(Decimal("0.1"), ROUND_UP)


def _stacked(asked: _Asked, sizes: Sizes) -> _Trial:
    """The name on top, the contents at the foot, all else between."""
    margin = asked.margin
    head, body, last, foot = (asked.column(ZERO, asked.width) for _ in range(4))
    set_head(asked.content, sizes, head)
    set_body(asked.content, sizes, body)
    set_last(asked.content, sizes, last)
    set_foot(asked.content, sizes, foot, foot.width)
    between = sizes.text * Decimal("0.9")
    net_top = asked.height - margin - foot.height
    last_top = net_top - asked.clear(sizes) - last.height
    body_top = last_top - between - body.height
    rule = body_top - between
    return _Trial(
        asked,
        [
            head.shifted(margin),
            body.shifted(body_top),
            last.shifted(last_top),
            foot.shifted(net_top),
        ],
        [Rule(margin, rule, asked.width - margin, rule)],
        max(margin + head.height + between - rule, _beyond(head, body, last)),
        foot.widest > foot.width,
        net_top,
    )


def _side_by_side(asked: _Asked, sizes: Sizes, front: Decimal) -> _Trial:
    """Name and contents left, all else right of an upright line."""
    margin = asked.margin
    head, foot = asked.column(ZERO, front), asked.column(ZERO, front)
    body, last = (asked.column(front, asked.width) for _ in range(2))
    set_head(asked.content, sizes, head)
    set_body(asked.content, sizes, body)
    set_last(asked.content, sizes, last)
    reach = foot.width
    if asked.heights.apart:
        # Two letters N clear of the text on the right.
        apart = 2 * asked.faces.bold.width("N", sizes.net)
        reach = min(reach, body.x - apart - foot.x)
    set_foot(asked.content, sizes, foot, reach)
    net_top = asked.height - margin - foot.height
    left = head.height + asked.clear(sizes) + foot.height
    right = body.height + sizes.text * Decimal("1.5") + last.height
    return _Trial(
        asked,
        [
            head.shifted(margin),
            body.shifted(margin),
            last.shifted(asked.height - margin - last.height),
            foot.shifted(net_top),
        ],
        [Rule(front, margin, front, asked.height - margin)],
        max(left - asked.inner, right - asked.inner, _beyond(head, body, last)),
        foot.widest > reach,
        net_top,
    )


def _beyond(*columns: Column) -> Decimal:
    """How far the longest word reaches over the edge."""
    return max(one.widest - one.width for one in columns)
