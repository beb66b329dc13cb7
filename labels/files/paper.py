"""Labels on paper: each laid out once, then placed as often as wanted."""

import io
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import groupby

import pikepdf

from labels.domain.drawing import Drawing
from labels.domain.shared import shared
from labels.domain.sheets import Geometry, places
from labels.files.press import (
    NOTE_HIGH,
    NOTE_WIDE,
    finished,
    full_size,
    missing_pages,
    points,
    press,
    printed,
)
from labels.files.tagging import tag
from production.quantities.domain.refusal import Refused

# A crop mark stands so far from the corner and is so long, in mm.
MARK_OFF, MARK = Decimal("0.5"), Decimal("1.4")
HAIR = Decimal("0.1")
WHITE = Decimal("4.3")  # what nearly every printer leaves white


@dataclass(frozen=True, slots=True)
class Run:
    """So many of one label, a pair counted once."""

    drawing: Drawing
    count: int


def label_pdf(drawing: Drawing, title: str, paper: str = "A4") -> bytes:
    """One label at real size, each side on a page of its own; a draft has what it lacks
    behind it.

    Refused where the finished PDF holds another font or page than was meant.
    """
    behind = missing_pages([drawing], title, paper)
    made = printed(drawing.sides, title, behind, tags=True)
    with pikepdf.open(io.BytesIO(made)) as pdf:
        return finished(pdf, title, drawing.language)


def sheet_pdf(
    drawing: Drawing,
    geometry: Geometry,
    title: str,
    *,
    count: int,
    start: int = 1,
    crop: bool = False,
    paper: str = "A4",
) -> bytes:
    """``count`` labels on sheets from cell ``start`` on, laid out once.

    Refused for a drawing of another size than the sheet's labels.
    """
    run = Run(drawing, count)
    return runs_pdf([run], geometry, title, start=start, crop=crop, paper=paper)


def runs_pdf(
    runs: Sequence[Run],
    geometry: Geometry,
    title: str,
    *,
    start: int = 1,
    crop: bool = False,
    paper: str = "A4",
) -> bytes:
    """Labels of several lots on sheets, one behind the other; each laid out once.

    Of a pair the front and the back stand next to each other.
    """
    for run in runs:
        if (run.drawing.width, run.drawing.height) != (
            geometry.label_width,
            geometry.label_height,
        ):
            raise Refused(f"This label has another size than those of {geometry}.")
    drawings = [run.drawing for run in runs]
    layers = shared(list(dict.fromkeys(side for one in drawings for side in one.sides)))
    layouts = list(dict.fromkeys(one for many in layers.values() for one in many))
    behind = missing_pages(drawings, title, paper)
    with (
        _opened(behind) as out,
        pikepdf.open(io.BytesIO(printed(layouts, title, tags=False))) as made,
    ):
        forms, names = pikepdf.Dictionary(), {}
        for number, (one, page) in enumerate(zip(layouts, made.pages, strict=True)):
            names[one] = f"/L{number}"
            forms[names[one]] = out.copy_foreign(page.as_form_xobject())
        note = _note(geometry)
        if note:
            with pikepdf.open(io.BytesIO(full_size())) as words:
                forms["/Note"] = out.copy_foreign(words.pages[0].as_form_xobject())
        cells: list[Cell] = []
        for run in runs:
            both = [
                Cell(side, " ".join(f"{names[one]} Do" for one in layers[side]))
                for side in run.drawing.sides
            ]
            cells += both * run.count
        told = _pages(out, cells, geometry, start, crop, note, forms)
        tag(out, told)
        return finished(out, title, drawings[0].language)


@dataclass(frozen=True, slots=True)
class Cell:
    """What stands in one cell of a sheet, and the orders that draw it."""

    side: Drawing
    orders: str


def _opened(behind: Sequence[str]) -> pikepdf.Pdf:
    """The pages that come last, or an empty file."""
    if not behind:
        return pikepdf.new()
    return pikepdf.open(io.BytesIO(press().printed(*behind, pdf_tags=True)))


def _pages(
    out: pikepdf.Pdf,
    cells: Sequence[Cell],
    geometry: Geometry,
    start: int,
    crop: bool,
    note: str,
    forms: pikepdf.Dictionary,
) -> dict[int, list[str]]:
    """Put the sheets before what is there; what is told of each of them."""
    resources = out.make_indirect(pikepdf.Dictionary(XObject=forms))
    corner = pikepdf.Array(
        [0, 0, points(geometry.page_width), points(geometry.page_height)]
    )
    drawn: dict[tuple[object, ...], tuple[pikepdf.Object, list[str]]] = {}
    told, done = {}, 0
    for number, corners in enumerate(places(geometry, len(cells), start)):
        held = cells[done : done + len(corners)]
        done += len(corners)
        key = tuple(corners), tuple(cell.orders for cell in held)
        if key not in drawn:
            orders, words = _placed(
                list(zip(corners, held, strict=True)), geometry, crop
            )
            drawn[key] = out.make_stream(f"{orders}\n{note}".encode()), words
        content, told[number] = drawn[key]
        page = pikepdf.Dictionary(
            Type=pikepdf.Name.Page,
            MediaBox=corner,
            Resources=resources,
            Contents=content,
        )
        out.pages.insert(number, pikepdf.Page(out.make_indirect(page)))
    return told


def _placed(
    places: Sequence[tuple[tuple[Decimal, Decimal], Cell]],
    geometry: Geometry,
    crop: bool,
) -> tuple[str, list[str]]:
    """The drawing orders of one page, each label at its corner, counted from below; and
    what each row of equal labels says."""
    orders: list[str] = []
    words: list[str] = []
    for _, equal in groupby(places, key=lambda place: id(place[1])):
        many = list(equal)
        side = many[0][1].side
        orders.append(f"/Figure <</MCID {len(words)}>> BDC")
        for (left, top), cell in many:
            foot = geometry.page_height - top - geometry.label_height
            orders.append(f"q 1 0 0 1 {points(left)} {points(foot)} cm {cell.orders} Q")
        orders.append("EMC")
        text = " ".join(line.text.strip() for line in side.lines)
        words.append(f"{len(many)} labels: {text}" if len(many) > 1 else text)
    if crop:
        orders.append("/Artifact BMC")
        orders.append(f"{points(HAIR)} w")
        for (left, top), _ in places:
            foot = geometry.page_height - top - geometry.label_height
            orders += _crop_marks(left, foot, geometry)
        orders.append("EMC")
    return "\n".join(orders), words


def _note(geometry: Geometry) -> str:
    """The order that draws the note in the upper or the lower margin, "" where neither
    has room."""
    last = geometry.corner(geometry.cells - 1)[1] + geometry.label_height
    if geometry.page_width < NOTE_WIDE + 2 * WHITE:
        return ""
    if geometry.corner(0)[1] >= WHITE + NOTE_HIGH + MARK_OFF + MARK:
        foot = geometry.page_height - WHITE - NOTE_HIGH
    elif geometry.page_height - last >= WHITE + NOTE_HIGH + MARK_OFF + MARK:
        foot = WHITE
    else:
        return ""
    left = (geometry.page_width - NOTE_WIDE) / 2
    return f"/Artifact BMC q 1 0 0 1 {points(left)} {points(foot)} cm /Note Do Q EMC"


def _crop_marks(left: Decimal, foot: Decimal, geometry: Geometry) -> list[str]:
    """Two short strokes outside each corner of a label."""
    orders = []
    right, top = left + geometry.label_width, foot + geometry.label_height
    for x, away in ((left, -1), (right, 1)):
        for y, up in ((foot, -1), (top, 1)):
            x1, x2 = x + away * MARK_OFF, x + away * (MARK_OFF + MARK)
            y1, y2 = y + up * MARK_OFF, y + up * (MARK_OFF + MARK)
            orders.append(
                f"{points(x1)} {points(y)} m {points(x2)} {points(y)} l "
                f"{points(x)} {points(y1)} m {points(x)} {points(y2)} l S"
            )
    return orders
