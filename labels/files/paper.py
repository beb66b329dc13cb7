"""Labels on paper: one laid out once, then placed as often as wanted."""

import io
from collections.abc import Iterator
from decimal import Decimal
from functools import cache

import pikepdf
from django.conf import settings
from django.template.loader import render_to_string
from fontTools.ttLib import TTFont

from labels.domain.layout import Across, Drawing, word_across
from labels.domain.sheets import PAPERS, Geometry, places
from labels.files.fonts import faces
from production.papers.files.pdf import FAMILY, Press, as_data, font_bytes
from production.quantities.domain.refusal import Refused

POINT = Decimal(72) / Decimal("25.4")
POSTSCRIPT = FAMILY.replace(" ", "")
# A crop mark stands so far from the corner and is so long, in mm.
MARK_OFF, MARK = Decimal("0.5"), Decimal("1.4")
HAIR = Decimal("0.1")
# The renderer rounds to 1/1024 of a point and a millionth of a page.
CLOSE = Decimal("0.02")


@cache
def _press() -> Press:
    data = [(700 if bold else 400, as_data(font_bytes(bold))) for bold in (False, True)]
    page = {"family": FAMILY, "fonts": data}
    return Press.of(render_to_string("labels/print/label.css", page))


def label_pdf(
    drawing: Drawing, title: str, paper: str = "A4", *, look: bool = False
) -> bytes:
    """One label at real size on a page of its own; a draft has what it lacks behind it.

    ``look``: it is not issued, and says so across. Refused where the finished PDF
    holds another font or page size than was meant.
    """
    with pikepdf.open(io.BytesIO(_label(drawing, title, look))) as pdf:
        return _finished(pdf, drawing, title, paper)


def sheet_pdf(
    drawing: Drawing,
    geometry: Geometry,
    title: str,
    *,
    count: int,
    start: int = 1,
    crop: bool = False,
    paper: str = "A4",
    look: bool = False,
) -> bytes:
    """``count`` labels on sheets from cell ``start`` on, laid out once.

    Refused for a drawing of another size than the sheet's labels.
    """
    if (drawing.width, drawing.height) != (geometry.label_width, geometry.label_height):
        raise Refused(f"This label has another size than those of {geometry}.")
    size = (_points(geometry.page_width), _points(geometry.page_height))
    out = pikepdf.new()
    with pikepdf.open(io.BytesIO(_label(drawing, title, look))) as one:
        label = out.copy_foreign(one.pages[0].as_form_xobject())
    resources = out.make_indirect(
        pikepdf.Dictionary(XObject=pikepdf.Dictionary(Label=label))
    )
    drawn: dict[tuple, pikepdf.Object] = {}
    for corners in places(geometry, count, start):
        key = tuple(corners)
        if key not in drawn:
            drawn[key] = out.make_stream(_placed(corners, geometry, crop))
        page = out.add_blank_page(page_size=size)
        page.obj.Resources = resources
        page.obj.Contents = drawn[key]
    return _finished(out, drawing, title, paper)


def _label(drawing: Drawing, title: str, look: bool = False) -> bytes:
    across = word_across(drawing, faces(), demo=settings.DEMO, look=look)
    page = {
        "drawing": drawing,
        "title": title,
        "lines": [(line, _top(line)) for line in drawing.lines],
        "across": across,
        "family": FAMILY,
    }
    printed = _printed("labels/print/label.html", page)
    _check_type(printed, drawing, across)
    return printed


def _top(line) -> Decimal:
    """Where the box of a line begins whose height is the size of its type."""
    face = faces()[line.bold]
    middle = Decimal(face.ascent - face.descent) / 2000
    return line.baseline - line.size * (Decimal("0.5") + middle)


def _printed(template: str, page: dict) -> bytes:
    return printed_at_press(render_to_string(template, page))


def printed_at_press(html: str) -> bytes:
    """A page in the label's own font."""
    return _press().printed(html)


def _finished(pdf: pikepdf.Pdf, drawing: Drawing, title: str, paper: str) -> bytes:
    if drawing.draft:
        width, height = PAPERS[paper]
        page = {
            "title": _with_signs(title),
            "missing": [
                [_with_signs(text) for text in (one.what, one.why, one.clause)]
                for one in drawing.missing
            ],
            "width": width,
            "height": height,
        }
        listed = _printed("labels/print/missing.html", page)
        with pikepdf.open(io.BytesIO(listed)) as behind:
            pdf.pages.extend(behind.pages)
            _check_fonts(pdf)
            return _saved(pdf, title)
    _check_fonts(pdf)
    return _saved(pdf, title)


def _with_signs(text: str) -> str:
    """A name may hold what the font lacks; the label itself refuses that."""
    known = faces().regular.widths
    return "".join(letter if letter in known else "?" for letter in text)


def _saved(pdf: pikepdf.Pdf, title: str) -> bytes:
    pdf.docinfo["/Title"] = title
    out = io.BytesIO()
    pdf.save(out, deterministic_id=True)
    return out.getvalue()


def _check_type(printed: bytes, drawing: Drawing, across: Across | None) -> None:
    """Read the page back: every line has the size and the place that were laid out."""
    with pikepdf.open(io.BytesIO(printed)) as pdf:
        page = pdf.pages[0]
        corner = [Decimal(str(page.mediabox[edge])) for edge in (2, 3)]
        found = list(_type_of(page))
    if across:
        found = found[:-1]  # drawn last
    meant = [(line.x, line.baseline, line.size) for line in drawing.lines]
    if not _close([corner, *found], [(drawing.width, drawing.height), *meant]):
        raise Refused(
            "The finished page differs from what was laid out: print no label until "
            "this is mended."
        )


def _close(found: list, meant: list) -> bool:
    """Whether points agree with mm, row by row."""
    return len(found) == len(meant) and all(
        abs(points / POINT - mm) <= CLOSE
        for row, wish in zip(found, meant, strict=True)
        for points, mm in zip(row, wish, strict=True)
    )


def _type_of(page: pikepdf.Page) -> Iterator[tuple[Decimal, Decimal, Decimal]]:
    """Left end, baseline and size of each line in points, from the top left corner."""
    pixel = Decimal("0.75")
    left = base = Decimal(0)
    for one in pikepdf.parse_content_stream(page):
        operands, operator = one.operands, one.operator
        if str(operator) == "Tm":
            left, base = (Decimal(str(operands[n])) * pixel for n in (4, 5))
        elif str(operator) == "Tf":
            yield left, base, Decimal(str(operands[1])) * pixel


def _check_fonts(pdf: pikepdf.Pdf) -> None:
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


def _points(mm: Decimal) -> Decimal:
    return (mm * POINT).quantize(Decimal("0.0001"))


def _placed(corners: list, geometry: Geometry, crop: bool) -> bytes:
    """The drawing orders of one page: the label at each corner, counted from below."""
    orders = []
    for left, top in corners:
        foot = geometry.page_height - top - geometry.label_height
        orders.append(f"q 1 0 0 1 {_points(left)} {_points(foot)} cm /Label Do Q")
        if crop:
            orders += _crop_marks(left, foot, geometry)
    return "\n".join(orders).encode()


def _crop_marks(left: Decimal, foot: Decimal, geometry: Geometry) -> list[str]:
    """Two short strokes outside each corner of a label."""
    orders = [f"{_points(HAIR)} w"]
    right, top = left + geometry.label_width, foot + geometry.label_height
    for x, away in ((left, -1), (right, 1)):
        for y, up in ((foot, -1), (top, 1)):
            x1, x2 = x + away * MARK_OFF, x + away * (MARK_OFF + MARK)
            y1, y2 = y + up * MARK_OFF, y + up * (MARK_OFF + MARK)
            orders.append(
                f"{_points(x1)} {_points(y)} m {_points(x2)} {_points(y)} l "
                f"{_points(x)} {_points(y1)} m {_points(x)} {_points(y2)} l S"
            )
    return orders
