"""Words set in columns by the real widths of the font; lengths in mm."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from itertools import groupby

from labels.domain.inks import Ink, Placed
from production.quantities.domain.numbers import ZERO
from production.quantities.domain.refusal import Refused

LEADING = Decimal("1.17")
HAIRLINE = Decimal("0.15")


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
    white: bool = False


@dataclass(frozen=True, slots=True)
class Rule:
    """A line, a hairline where nothing else is said."""

    x1: Decimal
    y1: Decimal
    x2: Decimal
    y2: Decimal
    thick: Decimal = HAIRLINE


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


@dataclass(frozen=True, slots=True)
class Unfit:
    """What is never drawn smaller, and wider than the room that there is, in mm."""

    what: str
    clause: str
    needs: Decimal
    has: Decimal


@dataclass(slots=True)
class Column:
    """Things under each other, with a height so far.

    Down to ``notch_height`` something else takes ``notch`` of the width, right.
    ``middle`` sets each line in the middle; ``white`` is blank on either side.
    """

    x: Decimal
    width: Decimal
    faces: Faces
    lines: list[Line] = field(default_factory=list)
    rules: list[Rule] = field(default_factory=list)
    jars: list[Jar] = field(default_factory=list)
    inks: list[Ink] = field(default_factory=list)
    marks: list[Placed] = field(default_factory=list)
    unfit: list[Unfit] = field(default_factory=list)
    middle: bool = False
    white: Decimal = ZERO
    height: Decimal = ZERO
    widest: Decimal = ZERO
    notch: Decimal = ZERO
    notch_height: Decimal = ZERO

    def gap(self, space: Decimal) -> None:
        if self.height:
            self.height += space

    def add(
        self,
        part: str,
        runs: Sequence[tuple[str, bool]],
        size: Decimal,
        leading: Decimal = LEADING,
        white: bool = False,
    ) -> None:
        """Set words in lines as wide as the column; a run is a text and its weight."""
        for row in self._rows(runs, size):
            wide = self._wide(row, size)
            # A long word may reach into what stands beside the line.
            self.widest = max(self.widest, wide + self.width - self._room())
            # The first line hangs from its capitals, so that they meet the margin.
            capital = self.faces.bold.capital * size / 1000
            self.height += leading * size if self.height else capital
            self._set(part, row, size, self.start_of(wide), white)

    def start_of(self, wide: Decimal) -> Decimal:
        """Where a thing so wide begins."""
        return self.x + (max(ZERO, self.width - wide) / 2 if self.middle else ZERO)

    def beside(
        self, part: str, runs: Sequence[tuple[str, bool]], size: Decimal
    ) -> bool:
        """Go on in the last line after a gap, if all of it fits; tells whether."""
        last = self.lines[-1]
        start = last.x + self.faces[last.bold].width(last.text, last.size) + size * 2
        rows = list(self._rows(runs, size))
        wide = self._wide(rows[0], size)
        if len(rows) > 1 or start + wide > self.x + self._room():
            return False
        self._set(part, rows[0], size, start)
        return True

    def _wide(self, row: Sequence[tuple[str, bool]], size: Decimal) -> Decimal:
        wide = sum(
            (self.faces[bold].width(f"{word} ", size) for word, bold in row), ZERO
        )
        return wide - self.faces[row[-1][1]].width(" ", size)

    def _set(
        self,
        part: str,
        row: Sequence[tuple[str, bool]],
        size: Decimal,
        x: Decimal,
        white: bool = False,
    ) -> None:
        start = x
        runs = [
            (" ".join(word for word, _ in words), bold)
            for bold, words in groupby(row, key=lambda word: word[1])
        ]
        for place, (text, bold) in enumerate(runs, 1):
            # A space between two weights belongs to the first, for whoever copies it.
            told = text if place == len(runs) else f"{text} "
            self.lines.append(Line(part, told, x, self.height, size, bold, white))
            x += self.faces[bold].width(told, size)
        self.widest = max(self.widest, x - (start if self.middle else self.x))

    def _rows(
        self, runs: Sequence[tuple[str, bool]], size: Decimal
    ) -> Iterator[list[tuple[str, bool]]]:
        row: list[tuple[str, bool]] = []
        reach, room = ZERO, self._room()
        for text, bold in runs:
            space = self.faces[bold].width(" ", size)
            for word in text.split():
                wide = self.faces[bold].width(word, size)
                if row and reach + wide > room:
                    yield row
                    row, reach, room = [], ZERO, self._room()
                row.append((word, bold))
                reach += wide + space
        if row:
            yield row

    def _room(self) -> Decimal:
        """The width of the next line; asked anew once the one before is set."""
        return self.width - (self.notch if self.height < self.notch_height else ZERO)

    def shifted(self, down: Decimal) -> "Column":
        return replace(
            self,
            lines=[replace(one, baseline=one.baseline + down) for one in self.lines],
            rules=[
                replace(one, y1=one.y1 + down, y2=one.y2 + down) for one in self.rules
            ],
            jars=[replace(one, y=one.y + down) for one in self.jars],
            inks=[replace(one, y=one.y + down) for one in self.inks],
            marks=[replace(one, y=one.y + down) for one in self.marks],
        )
