"""The finished page, read back and held against what was laid out."""

import io
import re
from collections.abc import Iterator, Sequence
from decimal import Decimal

import pikepdf
from fontTools.ttLib import TTFont

from labels.domain.drawing import Drawing
from production.papers.files.pdf import FAMILY
from production.quantities.domain.refusal import Refused

POSTSCRIPT = FAMILY.replace(" ", "")
MM = Decimal("25.4") / 72
PIXEL = Decimal("0.75")
# The renderer rounds to 1/1024 of a point and a millionth of a page.
CLOSE = Decimal("0.02")
# How bars and boxes are drawn (``labels/domain/codes.py``, ``inks.box``).
BAR = re.compile(r"M([\d.E+-]+) ([\d.E+-]+)h([\d.E+-]+)v([\d.E+-]+)h-[\d.E+-]+z")

Row = tuple[Decimal, ...]


def ensure_pages(
    made: bytes, drawings: Sequence[Drawing], crossed: Sequence[bool]
) -> None:
    """Every line has the size and the place that were laid out, every bar and box its
    place and width; ``crossed`` pages bear a word across, drawn last.

    Refused otherwise.
    """
    with pikepdf.open(io.BytesIO(made)) as pdf:
        for page, drawing, across in zip(pdf.pages, drawings, crossed, strict=False):
            _ensure_page(page, drawing, across)


def _ensure_page(page: pikepdf.Page, drawing: Drawing, across: bool) -> None:
    corner = tuple(Decimal(str(page.mediabox[edge])) * MM for edge in (2, 3))
    lines, bars = _read(page)
    if across:
        lines = lines[:-1]
    wanted = [(line.x, line.baseline, line.size) for line in drawing.lines]
    boxes = list(_bars(drawing))
    if not (
        _close([corner], [(drawing.width, drawing.height)])
        and _close(lines, wanted)
        and _close(bars[: len(boxes)], boxes)  # the mark comes after them
    ):
        raise Refused(
            "The finished page differs from what was laid out: print no label until "
            "this is mended."
        )


def _close(found: Sequence[Row], meant: Sequence[Row]) -> bool:
    """Whether mm agree, row by row."""
    return len(found) == len(meant) and all(
        abs(one - other) <= CLOSE
        for row, wish in zip(found, meant, strict=True)
        for one, other in zip(row, wish, strict=True)
    )


def _bars(drawing: Drawing) -> Iterator[Row]:
    for ink in drawing.inks:
        for found in BAR.finditer(ink.path) if not ink.stroke else ():
            left, top, wide, high = map(Decimal, found.groups())
            yield ink.x + left, ink.y + top, wide, high


def _read(page: pikepdf.Page) -> tuple[list[Row], list[Row]]:
    """Left end, baseline and size of each line, and each filled upright box, in mm
    from the top left corner."""
    lines: list[Row] = []
    bars: list[Row] = []
    left = base = Decimal(0)
    here, held = (Decimal(1), Decimal(0), Decimal(0)), []
    path: list[list[Row]] = []
    for one in pikepdf.parse_content_stream(page):
        operator = str(one.operator)
        if operator in ("q", "Q"):
            if operator == "q":
                held.append(here)
            else:
                here = held.pop()
        elif operator == "cm":
            scale, _, _, down, x, y = (Decimal(str(number)) for number in one.operands)
            if down < 0:
                continue  # the page is counted from below, all on it from above
            here = (here[0] * scale, here[1] + here[0] * x, here[2] + here[0] * y)
        elif operator == "Tm":
            left, base = (Decimal(str(one.operands[n])) * PIXEL * MM for n in (4, 5))
        elif operator == "Tf":
            lines.append((left, base, Decimal(str(one.operands[1])) * PIXEL * MM))
        elif operator in ("m", "l", "c"):
            if operator == "m":
                path.append([])
            path[-1].append(tuple(Decimal(str(number)) for number in one.operands))
        elif operator in ("f", "f*", "S", "B", "B*", "n", "W", "W*"):
            if operator in ("f", "f*"):
                bars += [bar for part in path if (bar := _box(part, here))]
            if operator not in ("W", "W*"):
                path = []
    return lines, bars


def _box(part: list[Row], here: Row) -> Row | None:
    """The box that four corners in the order of a bar span; None for any other path."""
    if not 4 <= len(part) <= 5 or any(len(point) != 2 for point in part):
        return None
    (x1, y1), (x2, y2), (x3, y3), (x4, y4) = part[:4]
    if not (x1 == x4 and x2 == x3 and y1 == y2 and y3 == y4):
        return None
    scale, x, y = here
    return tuple(
        number * MM
        for number in (
            x + scale * x1,
            y + scale * y1,
            scale * (x2 - x1),
            scale * (y3 - y1),
        )
    )


def ensure_fonts(pdf: pikepdf.Pdf) -> None:
    """Refuse a PDF that embeds any other font, or names one without embedding it."""
    for name in embedded_fonts(pdf):
        if not name.startswith(f"{POSTSCRIPT}-"):
            raise Refused(
                f"The label would be printed in {name or 'an unnamed font'}: only "
                f"{FAMILY} may stand on it. Take out the signs that it lacks."
            )


def embedded_fonts(pdf: pikepdf.Pdf) -> Iterator[str]:
    """The name that each embedded font itself bears; "" where none is embedded.

    What the PDF calls a font is what the stylesheet called it, and proves nothing.
    """
    for thing in pdf.objects:
        if not isinstance(thing, pikepdf.Dictionary):
            continue
        if thing.get("/Type") == "/FontDescriptor":
            held = thing.get("/FontFile2")
            yield "" if held is None else _own_name(held.read_bytes())
        elif thing.get("/Type") == "/Font" and not (
            {"/FontDescriptor", "/DescendantFonts"} & set(thing.keys())
        ):
            yield str(thing.get("/BaseFont", ""))


def _own_name(font: bytes) -> str:
    return TTFont(io.BytesIO(font))["name"].getDebugName(6) or ""
