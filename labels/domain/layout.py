"""Where each word of a label stands, from the real widths and heights of its font.

All lengths are in mm, from the top left corner. What must have a least height has
it; everything else shrinks towards its own least height until all of it fits.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import ROUND_UP, Decimal
from math import atan2, degrees

from labels.domain.columns import ZERO, Column, Faces, Jar, Line, Rule
from labels.domain.duties import cited
from labels.domain.heights import US_PLACE, Heights
from labels.domain.label import LabelContent, Missing
from production.domain.numbers import plain
from production.domain.refusal import Refused

FINE = Decimal("0.01")
ONE = Decimal(1)
DRAFT = "DRAFT"
# From generous to least, in this many steps.
STEPS = 20
# A label this much wider than high has its words beside each other.
SIDE_BY_SIDE = Decimal("1.5")
LEFT_SHARES = (Decimal("0.38"), Decimal("0.42"), Decimal("0.34"), Decimal("0.48"))
TIGHT = Decimal("1.06")
JAR = Decimal("8.5")


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
    """The word DRAFT from corner to corner: its middle, turn in degrees, type."""

    text: str
    x: Decimal
    y: Decimal
    turn: Decimal
    size: Decimal
    half: Decimal
    drop: Decimal
    stroke: Decimal


def draft_across(drawing: Drawing, faces: Faces) -> Across:
    """As large as stands well inside the label, along its diagonal."""
    width, height = drawing.width, drawing.height
    diagonal = (width**2 + height**2).sqrt()
    size = min(
        diagonal * Decimal("0.62") / faces.bold.width(DRAFT, ONE),
        min(width, height) * Decimal("0.5"),
    )
    return Across(
        text=DRAFT,
        x=width / 2,
        y=height / 2,
        turn=-Decimal(degrees(atan2(height, width))).quantize(FINE),
        size=_fine(size),
        half=_fine(faces.bold.width(DRAFT, size) / 2),
        drop=_fine(faces.bold.capital * size / 2000),
        stroke=_fine(size / 60),
    )


@dataclass(frozen=True, slots=True)
class _Sizes:
    """Sizes of type between the least (0) and the generous (1), in mm."""

    identity: Decimal
    function: Decimal
    text: Decimal
    cautions: Decimal
    net: Decimal
    margin: Decimal

    @classmethod
    def between(
        cls, t: Decimal, heights: Heights, faces: Faces, front: Decimal, least: Decimal
    ) -> "_Sizes":
        text = size_for(heights.text, faces.regular.x)
        generous = max(text, least * Decimal("0.052"))
        text += (generous - text) * t
        smallest = text * Decimal("1.3")
        largest = max(smallest, min(front * Decimal("0.17"), least * Decimal("0.2")))
        return cls(
            identity=_fine(smallest + (largest - smallest) * t),
            function=_fine(text * (Decimal("1.05") + t * Decimal("0.15"))),
            text=_fine(text),
            cautions=max(_fine(text), size_for(heights.warnings, faces.regular.x)),
            net=max(
                size_for(heights.net_figures, faces.bold.figure),
                size_for(heights.net_letters, faces.bold.x),
            ),
            margin=_fine(max(Decimal(2), least * Decimal("0.055"))),
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
    trials = (
        _try(content, width, height, heights, faces, Decimal(step) / STEPS, share)
        for step in range(STEPS, -1, -1)
        for share in (LEFT_SHARES if width >= SIDE_BY_SIDE * height else (None,))
    )
    return min(_until_fit(trials), key=lambda trial: trial.lacks).drawing(content)


@dataclass(slots=True)
class _Trial:
    """One attempt: its columns, and how many mm it lacks in height or width."""

    width: Decimal
    height: Decimal
    heights: Heights
    columns: list[Column]
    rules: list[Rule]
    lacks: Decimal
    net_too_wide: bool
    net_top: Decimal

    def drawing(self, content: LabelContent) -> Drawing:
        return Drawing(
            self.width,
            self.height,
            tuple(line for one in self.columns for line in one.lines),
            tuple(rule for one in self.columns for rule in one.rules)
            + tuple(self.rules),
            tuple(jar for one in self.columns for jar in one.jars),
            (*content.missing, *self._too_small()),
        )

    def _too_small(self) -> Iterator[Missing]:
        heights = self.heights
        if self.net_too_wide:
            yield Missing(
                "Net contents",
                f"They do not fit at letters of {_shown(heights.net_figures)} mm: "
                "choose a wider label.",
                cited(heights.net_clause),
            )
        if heights.within and self.net_top < self.height * (1 - heights.within):
            yield Missing(
                "Net contents",
                f"They need more than the lowest {plain(heights.within * 100)} %: "
                "choose a larger label.",
                cited(US_PLACE),
            )
        if self.lacks > 0:
            yield Missing(
                "Room for the text",
                f"At letters of {_shown(heights.text)} mm it lacks "
                f"{plain(self.lacks.quantize(Decimal('0.1'), ROUND_UP))} mm: choose a "
                "larger label, or say less.",
                cited(heights.text_clause),
            )


def _shown(height: Decimal) -> str:
    return plain(height.quantize(FINE))


def _until_fit(trials: Iterator[_Trial]) -> list[_Trial]:
    """All that were tried, the last of which fits if any does."""
    tried = []
    for trial in trials:
        tried.append(trial)
        if trial.lacks <= 0 and not trial.net_too_wide:
            return [trial]
    return tried


def _try(
    content: LabelContent,
    width: Decimal,
    height: Decimal,
    heights: Heights,
    faces: Faces,
    t: Decimal,
    share: Decimal | None,
) -> _Trial:
    front = width * (share or 1)
    sizes = _Sizes.between(t, heights, faces, front, min(width, height))
    margin = sizes.margin
    inner = front - 2 * margin
    head = _head(content, sizes, Column(margin, inner, faces))
    reach = inner
    if share and heights.apart:
        reach = min(
            inner, front + margin - margin - 2 * faces.bold.width("N", sizes.net)
        )
    foot = _foot(content, sizes, Column(margin, inner, faces), reach)
    net_top = height - margin - foot.height
    clear = faces.bold.capital * sizes.net / 1000 if heights.apart else margin
    if share:
        body_x, body_width = front + margin, width - front - 2 * margin
    else:
        body_x, body_width = margin, inner
    body = _body(content, sizes, Column(body_x, body_width, faces))
    last = _last(content, sizes, Column(body_x, body_width, faces))
    between = sizes.text * Decimal("0.9")
    whole = body.height + last.height + (between if body.height and last.height else 0)
    if share:
        lacks = max(
            head.height + clear + foot.height - (height - 2 * margin),
            whole - (height - 2 * margin),
        )
        body_top, last_top = margin, height - margin - last.height
        rules = [Rule(front, margin, front, height - margin)]
    else:
        free = net_top - clear - margin - head.height - whole - 2 * between
        lacks = -free
        last_top = net_top - clear - last.height
        body_top = last_top - between - body.height
        y = body_top - between
        rules = [Rule(margin, y, width - margin, y)]
    too_wide = max(one.widest - one.width for one in (head, body, last))
    return _Trial(
        width,
        height,
        heights,
        [
            head.shifted(margin),
            body.shifted(body_top),
            last.shifted(last_top),
            foot.shifted(net_top),
        ],
        rules,
        max(lacks, too_wide, ZERO),
        foot.widest > reach,
        net_top,
    )


def _head(content: LabelContent, sizes: _Sizes, column: Column) -> Column:
    column.add("identity", [(content.identity, True)], sizes.identity, TIGHT)
    column.gap(sizes.text * Decimal("0.4"))
    column.add("function", [(content.function, False)], sizes.function)
    column.gap(sizes.text * Decimal("0.4"))
    column.add("second language", [(content.second_language, False)], sizes.text)
    return column


def _foot(
    content: LabelContent, sizes: _Sizes, column: Column, reach: Decimal
) -> Column:
    """The contents: as many parts on a line as fit."""
    rows: list[str] = []
    for part in content.net_contents:
        joined = f"{rows[-1]} {part}" if rows else part
        if rows and column.faces.bold.width(joined, sizes.net) <= reach:
            rows[-1] = joined
        else:
            rows.append(part)
    # Set by hand, so that a part is never broken.
    for row in rows:
        rise = column.faces.bold.capital * sizes.net / 1000
        column.height += rise if not column.height else sizes.net * Decimal("1.1")
        column.lines.append(
            Line("contents", row, column.x, column.height, sizes.net, True)
        )
        wide = column.faces.bold.width(row, sizes.net)
        column.widest = max(column.widest, wide)
    return column


def _body(content: LabelContent, sizes: _Sizes, column: Column) -> Column:
    if content.ingredients:
        listed = [(content.heading, True), (content.ingredients, False)]
        column.add("ingredients", listed, sizes.text)
    between = sizes.text * Decimal("0.45")
    column.gap(between)
    column.add("directions", [(content.directions, False)], sizes.text)
    column.gap(between)
    column.add("cautions", [(content.cautions, False)], sizes.cautions)
    return column


def _last(content: LabelContent, sizes: _Sizes, column: Column) -> Column:
    """Batch, date and jar, then who made it and how to reach them."""
    _marks(content, sizes, column)
    column.gap(sizes.text * Decimal("0.45"))
    comma = "," if content.maker and content.place else ""
    maker = [(content.maker + comma, True), (content.place, False)]
    column.add("maker", maker, sizes.text)
    for part, text in (
        ("responsible", content.responsible),
        ("origin", content.origin),
        ("contact", content.contact),
    ):
        column.add(part, [(text, False)], sizes.text)
    return column


def _marks(content: LabelContent, sizes: _Sizes, column: Column) -> None:
    whole = column.width
    if content.after_opening:
        column.width -= JAR + 2
        _jar(content.after_opening, column, column.x + whole - JAR)
    _mark(column, "batch", content.batch_words, content.batch, content, sizes)
    _mark(
        column,
        "best before",
        content.best_before_words,
        content.best_before,
        content,
        sizes,
    )
    column.width = whole
    if content.after_opening:
        column.height = max(column.height, JAR)


def _mark(
    column: Column,
    part: str,
    words: str,
    value: str,
    content: LabelContent,
    sizes: _Sizes,
) -> None:
    """A word and its value, or a line to write the value on."""
    if value:
        column.add(part, [(words, False), (value, True)], sizes.text)
    elif part in content.to_write:
        column.add(part, [(words, False)], sizes.text)
        start = column.x + column.faces.regular.width(words + " ", sizes.text)
        y = column.height + sizes.text * Decimal("0.15")
        end = min(start + 30, column.x + column.width)
        column.rules.append(Rule(start, y, end, y))


def _jar(months: str, column: Column, x: Decimal) -> None:
    column.jars.append(Jar(x, ZERO, JAR))
    size = JAR * Decimal("0.34")
    wide = column.faces.bold.width(months, size)
    column.lines.append(
        Line(
            "after opening",
            months,
            x + (JAR - wide) / 2,
            JAR * Decimal("0.8"),
            size,
            True,
        )
    )
