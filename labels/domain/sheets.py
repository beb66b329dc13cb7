"""A sheet of labels: numbers only, in mm."""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused

PAPERS = {
    "A4": (Decimal(210), Decimal(297)),
    "Letter": (Decimal("215.9"), Decimal("279.4")),
}
MOST = 10_000
EDGE = Decimal(10)  # what many printers leave white
FARTHEST = 10  # mm that a printer can be off
APART = Decimal(4)  # room for the knife between labels on plain paper


@dataclass(frozen=True, slots=True)
class Geometry:
    """Where the labels stand on a page; ``moved_right`` and ``moved_down`` make good
    what the printer is off. Refused where they do not fit on it."""

    page_width: Decimal
    page_height: Decimal
    label_width: Decimal
    label_height: Decimal
    columns: int
    rows: int
    left: Decimal
    top: Decimal
    gap_across: Decimal = Decimal(0)
    gap_down: Decimal = Decimal(0)
    moved_right: Decimal = Decimal(0)
    moved_down: Decimal = Decimal(0)

    def __post_init__(self) -> None:
        if max(abs(self.moved_right), abs(self.moved_down)) > FARTHEST:
            raise Refused(
                f"A printer that is off by more than {FARTHEST} mm was fed another "
                "paper: measure the margins again."
            )
        sizes = (self.page_width, self.page_height, self.label_width, self.label_height)
        rests = (self.left, self.top, self.gap_across, self.gap_down)
        if min(sizes) <= 0 or min(self.columns, self.rows) < 1 or min(rests) < 0:
            raise Refused("Give a page, labels and counts above 0, margins from 0 on.")
        self._refuse_beyond(self._right, self.page_width, "wide")
        self._refuse_beyond(self._foot, self.page_height, "high")

    def _refuse_beyond(self, needs: Decimal, has: Decimal, way: str) -> None:
        if needs > has:
            raise Refused(
                f"The labels need {plain(needs)} mm and the page is {plain(has)} mm "
                f"{way}: make a margin, a gap or the labels smaller, or take fewer."
            )

    @property
    def _right(self) -> Decimal:
        across = self.columns * (self.label_width + self.gap_across)
        return self.left + across - self.gap_across

    @property
    def _foot(self) -> Decimal:
        down = self.rows * (self.label_height + self.gap_down)
        return self.top + down - self.gap_down

    @property
    def cells(self) -> int:
        return self.columns * self.rows

    def corner(self, cell: int) -> tuple[Decimal, Decimal]:
        """Left and top of a cell, counted from 0 along the rows, in mm."""
        row, column = divmod(cell, self.columns)
        return (
            self.left
            + self.moved_right
            + column * (self.label_width + self.gap_across),
            self.top + self.moved_down + row * (self.label_height + self.gap_down),
        )

    def __str__(self) -> str:
        size = (self.page_width, self.page_height)
        papers = {paper: name for name, paper in PAPERS.items()}
        page = papers.get(size) or f"{plain(size[0])} x {plain(size[1])} mm"
        label = f"{plain(self.label_width)} x {plain(self.label_height)} mm"
        if self.is_roll:
            return f"roll of {label}{self._moved}"
        return f"{page}, {self.columns} x {self.rows} of {label}{self._moved}"

    @property
    def _moved(self) -> str:
        told = (
            (self.moved_right, "right", "left"),
            (self.moved_down, "down", "up"),
        )
        return "".join(
            f", {plain(abs(by))} mm {on if by > 0 else back}"
            for by, on, back in told
            if by
        )

    @property
    def is_roll(self) -> bool:
        """One label a page, as wide as it."""
        return (
            self.cells == 1
            and self.left == self.top == 0
            and self.page_width == self.label_width
        )


def ensure_places(geometry: Geometry, count: int, start: int) -> None:
    """Refused for more labels than anybody cuts, and a cell that the sheet lacks."""
    if not 1 <= count <= MOST:
        raise Refused(f"Print 1 to {MOST:,} labels at a time: {count} is not.")
    if not 1 <= start <= geometry.cells:
        raise Refused(
            f"Start at one of the cells 1 to {geometry.cells}: {start} is not."
        )


def places(
    geometry: Geometry, count: int, start: int = 1
) -> Iterator[list[tuple[Decimal, Decimal]]]:
    """The corners of ``count`` labels, page by page; ``start`` is the first free cell
    of the first sheet, counted from 1. Refused for a cell that the sheet lacks."""
    ensure_places(geometry, count, start)
    first = start - 1
    corners = [geometry.corner(cell) for cell in range(geometry.cells)]
    for begin in range(0, first + count, geometry.cells):
        end = min(geometry.cells, first + count - begin)
        yield corners[max(0, first - begin) : end]


def plain_sheet(paper: str, width: Decimal, height: Decimal) -> Geometry:
    """As many labels as fit on plain paper, to be cut by hand.

    Refused for a label that is larger than the paper inside its white edge.
    """
    page_width, page_height = PAPERS[paper]
    columns = int((page_width - 2 * EDGE + APART) // (width + APART))
    rows = int((page_height - 2 * EDGE + APART) // (height + APART))
    if columns < 1 or rows < 1:
        raise Refused(
            f"A label of {plain(width)} x {plain(height)} mm does not fit on {paper}: "
            "choose a smaller one."
        )
    return centred(paper, width, height, columns, rows, APART, APART)


def roll(width: Decimal, height: Decimal, gap: Decimal = Decimal(0)) -> Geometry:
    """A roll: each label is a page, with the gap behind it; 0 where the printer finds
    the next label by itself."""
    return Geometry(width, height + gap, width, height, 1, 1, Decimal(0), Decimal(0))


def centred(
    paper: str,
    width: Decimal,
    height: Decimal,
    columns: int,
    rows: int,
    gap_across: Decimal = Decimal(0),
    gap_down: Decimal = Decimal(0),
) -> Geometry:
    """Labels in the middle of the paper."""
    page_width, page_height = PAPERS[paper]
    across = columns * width + (columns - 1) * gap_across
    down = rows * height + (rows - 1) * gap_down
    return Geometry(
        page_width,
        page_height,
        width,
        height,
        columns,
        rows,
        (page_width - across) / 2,
        (page_height - down) / 2,
        gap_across,
        gap_down,
    )


# To start a sheet of one's own from: the margins of the paper at hand may differ.
PRESETS = (
    centred("A4", Decimal("99.1"), Decimal("38.1"), 2, 7, Decimal("2.5")),
    centred("A4", Decimal("63.5"), Decimal("38.1"), 3, 7, Decimal("2.5")),
    centred("A4", Decimal(60), Decimal(90), 3, 3, Decimal(4), Decimal(4)),
    centred("A4", Decimal(45), Decimal(70), 4, 3, Decimal(3), Decimal(3)),
    centred("Letter", Decimal("101.6"), Decimal("50.8"), 2, 5, Decimal("4.8")),
    centred("Letter", Decimal("66.7"), Decimal("25.4"), 3, 10, Decimal("3.1")),
    centred("Letter", Decimal(60), Decimal(80), 3, 3, Decimal(4), Decimal(4)),
)
