"""One attempt to set a label, and what it lacks."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from decimal import ROUND_UP, Decimal

from labels.domain.columns import Column, Line, Rule, Unfit
from labels.domain.drawing import FINE, Drawing
from labels.domain.heights import Heights
from labels.domain.inks import Ink
from labels.domain.label import LabelContent, Missing
from production.quantities.domain.numbers import plain


@dataclass(slots=True)
class Trial:
    """One attempt: its columns, and how many mm it lacks in height or width."""

    content: LabelContent
    heights: Heights
    width: Decimal
    height: Decimal
    columns: list[Column]
    rules: list[Rule]
    lacks: Decimal
    inks: list[Ink] = field(default_factory=list)
    net_too_wide: bool = False
    net_top: Decimal | None = None
    unfit: list[Unfit] = field(init=False)

    def __post_init__(self) -> None:
        self.unfit = [thing for one in self.columns for thing in one.unfit]

    @property
    def net_too_high(self) -> bool:
        within = self.heights.within
        if within is None or self.net_top is None:
            return False
        return self.net_top < self.height * (1 - within)

    @property
    def faults(self) -> int:
        return self.net_too_wide + self.net_too_high + len(self.unfit)

    @property
    def fits(self) -> bool:
        return not self.faults and self.lacks <= 0

    def drawing(self) -> Drawing:
        columns = self.columns
        return Drawing(
            self.width,
            self.height,
            self._lines(),
            (*self.rules, *(rule for one in columns for rule in one.rules)),
            tuple(jar for one in columns for jar in one.jars),
            (*self.content.missing, *self._too_small()),
            (*self.inks, *(ink for one in columns for ink in one.inks)),
            tuple(mark for one in columns for mark in one.marks),
            language=self.content.languages[0] if self.content.languages else "en",
        )

    def _lines(self) -> tuple[Line, ...]:
        """All of them; where they do not fit, those that touch none before them."""
        if self.lacks <= 0:
            return tuple(line for one in self.columns for line in one.lines)
        kept: list[tuple[Line, Decimal]] = []
        for column in self.columns:
            for line in column.lines:
                end = line.x + column.faces[line.bold].width(line.text, line.size)
                if self._inside(line, end) and not any(
                    _touch(line, end, *other) for other in kept
                ):
                    kept.append((line, end))
        return tuple(line for line, _ in kept)

    def _inside(self, line: Line, end: Decimal) -> bool:
        top, foot = _reach(line)
        return top >= 0 and foot <= self.height and end <= self.width

    def _too_small(self) -> Iterator[Missing]:
        heights = self.heights
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
        for one in self.unfit:
            yield Missing(
                one.what,
                f"It needs {plain(_tenths(one.needs))} mm of width and lacks "
                f"{plain(_tenths(one.needs - one.has))} mm: choose a wider label, or "
                "leave it out.",
                one.clause,
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


def _reach(line: Line) -> tuple[Decimal, Decimal]:
    """From the top of its capitals to what hangs below it."""
    rise, hang = Decimal("0.7"), Decimal("0.2")
    return line.baseline - line.size * rise, line.baseline + line.size * hang


def _touch(line: Line, end: Decimal, other: Line, other_end: Decimal) -> bool:
    if line.x >= other_end or other.x >= end:
        return False
    (top, foot), (other_top, other_foot) = _reach(line), _reach(other)
    return top < other_foot and other_top < foot
