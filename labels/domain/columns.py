"""Words set in columns by the real widths of the font; lengths in mm."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from itertools import groupby

from production.domain.refusal import Refused

ZERO = Decimal(0)
LEADING = Decimal("1.2")


@dataclass(frozen=True, slots=True)
class Face:
    """One weight of the font, in thousandths of its size; ``widths`` by letter.

    ``x``, ``capital`` and ``figure`` are the least heights of such letters.
    """

    widths: Mapping[str, int]
    x: int
    capital: int
    figure: int
    ascent: int
    descent: int

    def width(self, text: str, size: Decimal) -> Decimal:
        """Refused for a sign that the font lacks."""
        try:
            return sum(self.widths[letter] for letter in text) * size / 1000
        except KeyError as lacking:
            raise Refused(
                f"The label's font has no sign {lacking.args[0]!r}: write it otherwise."
            ) from lacking


@dataclass(frozen=True, slots=True)
class Faces:
    regular: Face
    bold: Face

    def __getitem__(self, bold: bool) -> Face:
        return self.bold if bold else self.regular


@dataclass(frozen=True, slots=True)
class Line:
    """One line of text, its left end on the baseline."""

    part: str
    text: str
    x: Decimal
    baseline: Decimal
    size: Decimal
    bold: bool = False


@dataclass(frozen=True, slots=True)
class Rule:
    """A hairline."""

    x1: Decimal
    y1: Decimal
    x2: Decimal
    y2: Decimal


@dataclass(frozen=True, slots=True)
class Jar:
    """The open jar, its left top corner and its height; the months are a line."""

    x: Decimal
    y: Decimal
    height: Decimal

    @property
    def scale(self) -> Decimal:
        """It is drawn ten high."""
        return self.height / 10


@dataclass(slots=True)
class Column:
    """Things under each other, with a height so far."""

    x: Decimal
    width: Decimal
    faces: Faces
    lines: list[Line] = field(default_factory=list)
    rules: list[Rule] = field(default_factory=list)
    jars: list[Jar] = field(default_factory=list)
    height: Decimal = ZERO
    widest: Decimal = ZERO

    def gap(self, space: Decimal) -> None:
        if self.height:
            self.height += space

    def add(
        self,
        part: str,
        runs: Sequence[tuple[str, bool]],
        size: Decimal,
        leading: Decimal = LEADING,
    ) -> None:
        """Set words in lines as wide as the column; a run is a text and its weight."""
        for row in self._rows(runs, size):
            x = self.x
            self.height += self._rise(part, size, leading)
            for bold, words in groupby(row, key=lambda word: word[1]):
                text = " ".join(word for word, _ in words)
                self.lines.append(Line(part, text, x, self.height, size, bold))
                end = x + self.faces[bold].width(text, size)
                x = end + self.faces[bold].width(" ", size)
            self.widest = max(self.widest, end - self.x)

    def _rise(self, part: str, size: Decimal, leading: Decimal) -> Decimal:
        """From the last baseline to the next; a new part hangs from its capitals, so
        that the first one meets the margin."""
        capital = self.faces.bold.capital * size / 1000
        if not self.height:
            return capital
        if self.lines[-1].part != part:
            return capital + size * (leading - 1)
        return leading * size

    def _rows(
        self, runs: Sequence[tuple[str, bool]], size: Decimal
    ) -> Iterator[list[tuple[str, bool]]]:
        row: list[tuple[str, bool]] = []
        reach = ZERO
        for text, bold in runs:
            space = self.faces[bold].width(" ", size)
            for word in text.split():
                wide = self.faces[bold].width(word, size)
                if row and reach + wide > self.width:
                    yield row
                    row, reach = [], ZERO
                row.append((word, bold))
                reach += wide + space
        if row:
            yield row

    def shifted(self, down: Decimal) -> "Column":
        return replace(
            self,
            lines=[replace(one, baseline=one.baseline + down) for one in self.lines],
            rules=[
                replace(one, y1=one.y1 + down, y2=one.y2 + down) for one in self.rules
            ],
            jars=[replace(one, y=one.y + down) for one in self.jars],
        )
