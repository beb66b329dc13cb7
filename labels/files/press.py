"""The labels' press: pages in the one font, and what every finished file carries."""

import io
from collections.abc import Iterator, Sequence
from decimal import Decimal
from functools import cache
from itertools import groupby

import pikepdf
from django.conf import settings
from django.template.loader import render_to_string

from labels.domain.columns import Line
from labels.domain.drawing import Across, Drawing, word_across
from labels.domain.sheets import PAPERS
from labels.files.fonts import faces
from labels.files.reading_back import ensure_fonts, ensure_pages
from production.papers.files.pdf import FAMILY, Press, as_data, font_bytes

POINT = Decimal(72) / Decimal("25.4")
LANGUAGE = "en"
AT_ONCE = 25
# The note in the margin of a sheet.
NOTE_WIDE, NOTE_HIGH = Decimal(90), Decimal("3.2")


@cache
def press() -> Press:
    data = [(700 if bold else 400, as_data(font_bytes(bold))) for bold in (False, True)]
    page = {"family": FAMILY, "fonts": data}
    return Press.of(render_to_string("labels/print/label.css", page))


def printed(
    drawings: Sequence[Drawing], title: str, behind: Sequence[str] = (), *, tags: bool
) -> bytes:
    """Each drawing on a page of its own size, read back; then the pages ``behind``.

    Refused where a page differs from what was laid out.
    """
    pages = [
        _pages(few, title)
        for _, many in groupby(drawings, key=lambda one: (one.width, one.height))
        for few in _at_once(list(many))
    ]
    made = press().printed(*pages, *behind, pdf_tags=tags)
    ensure_pages(made, drawings, [_across(one) is not None for one in drawings])
    return made


def _at_once(many: list[Drawing]) -> Iterator[list[Drawing]]:
    """The renderer takes longer for each page the more there are of a document."""
    for begin in range(0, len(many), AT_ONCE):
        yield many[begin : begin + AT_ONCE]


def _across(drawing: Drawing) -> Across | None:
    return word_across(drawing, faces(), demo=settings.DEMO)


def _pages(drawings: Sequence[Drawing], title: str) -> str:
    page = {
        "title": _with_signs(title),
        "language": drawings[0].language,
        "size": drawings[0],
        "pages": [
            (one, [(line, _top(line)) for line in one.lines], _across(one))
            for one in drawings
        ],
        "family": FAMILY,
    }
    return render_to_string("labels/print/label.html", page)


@cache
def full_size() -> bytes:
    """The note for the margin of a sheet."""
    page = {"width": NOTE_WIDE, "height": NOTE_HIGH, "language": LANGUAGE}
    return press().printed(render_to_string("labels/print/full_size.html", page))


def _top(line: Line) -> Decimal:
    """Where the box of a line begins whose height is the size of its type."""
    face = faces()[line.bold]
    middle = Decimal(face.ascent - face.descent) / 2000
    return line.baseline - line.size * (Decimal("0.5") + middle)


def missing_pages(drawings: Sequence[Drawing], title: str, paper: str) -> list[str]:
    """What drafts lack, each thing once; nothing where there is none."""
    missing = dict.fromkeys(thing for one in drawings for thing in one.missing)
    if not missing:
        return []
    width, height = PAPERS[paper]
    page = {
        "title": _with_signs(title),
        "missing": [
            [_with_signs(text) for text in (one.what, one.why, one.clause)]
            for one in missing
        ],
        "width": width,
        "height": height,
    }
    return [render_to_string("labels/print/missing.html", page)]


def _with_signs(text: str) -> str:
    """A name may hold what the font lacks; the label itself refuses that."""
    known = faces().regular.widths
    return "".join(letter if letter in known else "?" for letter in text)


def finished(pdf: pikepdf.Pdf, title: str, language: str = LANGUAGE) -> bytes:
    """The file with title and language, and the wish that no viewer shrinks it.

    Refused for any font but the one of all labels.
    """
    ensure_fonts(pdf)
    pdf.docinfo["/Title"] = title
    pdf.Root.Lang = pikepdf.String(language)
    # ISO 32000-1 12.2, from memory.
    pdf.Root.ViewerPreferences = pikepdf.Dictionary(
        PrintScaling=pikepdf.Name("/None"),
        DisplayDocTitle=True,
    )
    out = io.BytesIO()
    pdf.save(out, deterministic_id=True)
    return out.getvalue()


def points(mm: Decimal) -> Decimal:
    return (mm * POINT).quantize(Decimal("0.0001"))
