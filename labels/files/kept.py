"""The kept file of an issued label: read back, and marked where it must not be used."""

import io
from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal
from typing import Any

import pikepdf
from django.template.loader import render_to_string

from labels.domain.drawing import Drawing
from labels.domain.issued import from_plain
from labels.files.paper import label_pdf
from labels.files.press import POINT, press

# Two renderings of one drawing agree to this, in mm.
CLOSE = Decimal("0.05")
Run = tuple[str, Decimal, Decimal, Decimal]


def crossed(raw: bytes, word: str) -> bytes:
    """The same pages with a word from corner to corner of each label, so that nobody
    uses them, or cuts a clean one out of a sheet."""
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(raw)) as pdf:
        forms: dict[tuple[Decimal, Decimal], pikepdf.Object] = {}
        for page in pdf.pages:
            orders = ["q"]
            for left, foot, *size in _boxes(page):
                wide, high = (round(edge / POINT, 2) for edge in size)
                if (wide, high) not in forms:
                    forms[wide, high] = _cross(pdf, word, wide, high)
                name = page.add_resource(forms[wide, high], pikepdf.Name.XObject)
                orders.append(f"q 1 0 0 1 {left} {foot} cm {name} Do Q")
            page.contents_add(b"q", prepend=True)
            page.contents_add("\n".join(["Q", *orders, "Q"]).encode())
        pdf.save(out, deterministic_id=True)
    return out.getvalue()


def _cross(pdf: pikepdf.Pdf, word: str, wide: Decimal, high: Decimal) -> pikepdf.Object:
    page = {
        "word": word,
        "width": wide,
        "height": high,
        "size": round(min(wide, high) / Decimal(7), 2),
    }
    made = press().printed(render_to_string("labels/print/crossed.html", page))
    with pikepdf.open(io.BytesIO(made)) as over:
        return pdf.copy_foreign(over.pages[0].as_form_xobject())


def _boxes(page: pikepdf.Page) -> list[tuple[Decimal, Decimal, Decimal, Decimal]]:
    """Left, foot, width and height of each label of a page, in points; the whole page
    where one stands by itself."""
    placed: Any = page.obj["/Resources"].get("/XObject", {})
    found: dict[tuple[Decimal, Decimal, Decimal, Decimal], None] = {}
    at = [Decimal(0), Decimal(0)]
    for one in pikepdf.parse_content_stream(page):
        operator = str(one.operator)
        if operator == "cm":
            at = [Decimal(str(one.operands[edge])) for edge in (4, 5)]
        elif operator == "Do" and str(one.operands[0]).startswith("/L"):
            box = placed[str(one.operands[0])]["/BBox"]
            size = [Decimal(str(box[edge])) for edge in (2, 3)]
            found[at[0], at[1], size[0], size[1]] = None
    whole = [Decimal(str(page.mediabox[edge])) for edge in (2, 3)]
    return list(found) or [(Decimal(0), Decimal(0), whole[0], whole[1])]


def runs(raw: bytes) -> list[tuple[list[Run], list[Decimal]]]:
    """Each line of each side of a label: its letters, left end, baseline, size.

    All in mm of the label, with its width and height; a sheet holds each side once,
    placed as often as wanted.
    """
    with pikepdf.open(io.BytesIO(raw)) as pdf:
        return [
            (
                list(_runs(side)),
                [Decimal(str(side[box][edge])) / POINT for edge in (2, 3)],
            )
            for side, box in _sides(pdf)
        ]


def _sides(pdf: pikepdf.Pdf) -> list[tuple[pikepdf.Object, str]]:
    """Each side with the name of its box: forms on a sheet, else pages."""
    placed = pdf.pages[0].obj["/Resources"].get("/XObject")
    names = [] if placed is None else [str(name) for name in placed.keys()]  # noqa: SIM118
    forms = sorted(name for name in names if name.startswith("/L"))
    if placed is not None and forms:
        return [(placed[name], "/BBox") for name in forms]
    return [(page.obj, "/MediaBox") for page in pdf.pages]


def _runs(label: pikepdf.Object) -> Iterator[Run]:
    fonts = label["/Resources"]["/Font"]
    told = {str(name): _letters(font) for name, font in fonts.items()}
    pixel = Decimal("0.75")
    left = base = size = Decimal(0)
    font: dict[str, str] = {}
    for one in pikepdf.parse_content_stream(label):
        operands, operator = one.operands, str(one.operator)
        if operator == "Tm":
            left, base = (Decimal(str(operands[n])) * pixel for n in (4, 5))
        elif operator == "Tf":
            font = told[str(operands[0])]
            size = Decimal(str(operands[1])) * pixel
        elif operator in ("Tj", "TJ"):
            text = _text(operands[0], font)
            yield text, left / POINT, base / POINT, size / POINT


def _text(shown: pikepdf.Object, font: dict[str, str]) -> str:
    parts = shown if isinstance(shown, pikepdf.Array) else [shown]
    found = []
    for part in parts:
        if isinstance(part, pikepdf.String):
            marks = bytes(part).hex()
            found += [font.get(marks[n : n + 4], "?") for n in range(0, len(marks), 4)]
    return "".join(found)


def _letters(font: pikepdf.Object) -> dict[str, str]:
    """Which letter each mark of a font stands for, by the table that it carries."""
    table = font.get("/ToUnicode")
    if table is None:
        return {}
    found: dict[str, str] = {}
    for one in pikepdf.parse_content_stream(table):
        operands, operator = one.operands, one.operator
        if str(operator) == "endbfchar":
            for mark, letter in zip(operands[::2], operands[1::2], strict=True):
                found[bytes(mark).hex()] = bytes(letter).decode("utf-16-be")
        elif str(operator) == "endbfrange":
            for first, last, letter in zip(
                operands[::3], operands[1::3], operands[2::3], strict=True
            ):
                begin, end = (int(bytes(one).hex(), 16) for one in (first, last))
                start = ord(bytes(letter).decode("utf-16-be"))
                for at in range(begin, end + 1):
                    found[f"{at:04x}"] = chr(start + at - begin)
    return found


def faults_in(
    raw: bytes, told: dict[str, Any], *, together: bool = False
) -> Iterator[str]:
    """Where a kept file differs from the drawing that it was printed from.

    ``told`` is the drawing as plain values. The file is read back line by line, and
    the drawing is printed once more: both have the same letters at the same places.
    ``together``: labels of other lots stand on its sheets, and share layers with it.
    """
    drawing = from_plain(Drawing, told)
    kept = runs(raw)
    if together:
        yield from _among(drawing, kept)
        return
    again = runs(label_pdf(drawing, ""))
    for side, (lines, size), (anew, _) in zip(drawing.sides, kept, again, strict=True):
        if not _near(size, [side.width, side.height]):
            yield "its file has another size than its label"
        meant = [(one.text, one.x, one.baseline, one.size) for one in side.lines]
        if not _agree(lines[: len(meant)], meant):
            yield "its file has other words or places than its drawing"
        if not _agree(lines, anew):
            yield "printed anew it comes out otherwise than its file"


def _among(
    drawing: Drawing, kept: Sequence[tuple[list[Run], list[Decimal]]]
) -> Iterator[str]:
    """Every line of the drawing stands in one of the layers."""
    there = [run for lines, _ in kept for run in lines]
    for side in drawing.sides:
        for one in side.lines:
            meant = (one.text, one.x, one.baseline, one.size)
            if not any(_agree([run], [meant]) for run in there):
                yield "its file has other words or places than its drawing"
                return


def _agree(one: Sequence[Run], other: Sequence[Run]) -> bool:
    return len(one) == len(other) and all(
        a[0].strip() == b[0].strip() and _near(a[1:], b[1:])
        for a, b in zip(one, other, strict=True)
    )


def _near(one: Iterable[Decimal], other: Iterable[Decimal]) -> bool:
    return all(abs(a - b) <= CLOSE for a, b in zip(one, other, strict=True))
