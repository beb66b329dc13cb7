"""Batch sheets on paper: black on white, to be written on with a pen."""

from collections.abc import Sequence
from functools import cache
from typing import Literal

from django.template.loader import render_to_string

from production.papers.files.pdf import print_together
from production.planning.domain.batch_sheet import BatchSheet
from production.quantities.domain.refusal import Refused

PAPERS = {"A4": "A4", "Letter": "letter"}
# A drawing inside a page is out of the reach of the page's stylesheet.
FRAME = 'class="frame"'
RED_FRAME = f'{FRAME} fill="#fff" stroke="#d0101b" stroke-width="6"'


def batch_sheets_pdf(
    sheets: Sequence[BatchSheet], paper: Literal["A4", "Letter"] = "A4"
) -> bytes:
    """Each sheet begins on a page of its own and counts its own pages.

    Refused for another paper, and for no sheet at all.
    """
    if paper not in PAPERS:
        raise Refused(f"Print on A4 or Letter, not on {paper}.")
    if not sheets:
        raise Refused("There is no sheet to print: choose a stage.")
    return print_together([_page(sheet, PAPERS[paper]) for sheet in sheets], _style())


def _page(sheet: BatchSheet, paper: str) -> str:
    words = {
        "sheet": sheet,
        "paper": paper,
        "title": ", ".join(
            filter(
                None, (f"{sheet.stage.capitalize()} {sheet.makes}", sheet.batch_mark)
            )
        ),
    }
    html = render_to_string("production/planning/print/batch_sheet.html", words)
    return html.replace(FRAME, RED_FRAME)


@cache
def _style() -> str:
    return render_to_string("production/planning/print/batch_sheet.css")
