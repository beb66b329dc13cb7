"""One attempt to set a label, and what it lacks."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from decimal import ROUND_UP, Decimal

from labels.domain.columns import Column, Rule, Unfit
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
            tuple(line for one in columns for line in one.lines),
            (*self.rules, *(rule for one in columns for rule in one.rules)),
            tuple(jar for one in columns for jar in one.jars),
            (*self.content.missing, *self._too_small()),
            (*self.inks, *(ink for one in columns for ink in one.inks)),
            tuple(mark for one in columns for mark in one.marks),
            language=self.content.languages[0] if self.content.languages else "en",
        )

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
