"""The composition sheet for an assessor: as a PDF and as a sheet of figures."""

from functools import cache
from typing import IO

from django.template.loader import render_to_string

from labels.domain.composition_sheet import (
    HEADINGS,
    CompositionSheet,
    facts_of,
    rows_of,
    totals_of,
)
from production.papers.files.pdf import print_pdf
from production.papers.files.sheets_out import Stamp, write_sheet

PAPERS = {"Letter": "letter"}


def composition_pdf(sheet: CompositionSheet, stamp: Stamp, paper: str) -> bytes:
    """Black on white, with who made it and when in the foot of every page."""
    words = {
        "sheet": sheet,
        "facts": facts_of(sheet),
        "totals": totals_of(sheet),
        "stamp": stamp,
        "paper": PAPERS.get(paper, "A4"),
    }
    html = render_to_string("labels/print/composition.html", words)
    return print_pdf(html, _style())


def composition_xlsx(sheet: CompositionSheet, stamp: Stamp) -> IO[bytes]:
    """The ingredients first; below them what else is known, and the lots behind."""
    rows = [*rows_of(sheet), (None,) * len(HEADINGS)]
    rows += [(what, says, None, None, None) for what, says in facts_of(sheet)]
    rows += [(None,) * len(HEADINGS)]
    rows += [
        (one.item, one.lot, one.supplier, one.supplier_lot, "; ".join(one.papers))
        for one in sheet.sources
    ]
    rows += [("Note", note, None, None, None) for note in sheet.notes]
    return write_sheet(f"Composition of {sheet.product}", HEADINGS, rows, stamp=stamp)


@cache
def _style() -> str:
    return render_to_string("labels/print/composition.css")
