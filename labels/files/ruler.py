"""A page to hold against the paper: rulers, and the outlines of a sheet's labels."""

import io

import pikepdf
from django.template.loader import render_to_string

from labels.domain.sheets import Geometry
from labels.files.press import LANGUAGE, finished, press

LONG = 100  # mm of a ruler


def ruler_pdf(geometry: Geometry) -> bytes:
    """One page as large as the sheet's, with the labels where they would be printed."""
    width, height = geometry.page_width, geometry.page_height
    long = max(10, min(LONG, int(min(width, height)) // 20 * 10))
    page = {
        "geometry": geometry,
        "language": LANGUAGE,
        "corners": [geometry.corner(cell) for cell in range(geometry.cells)],
        "long": long,
        "across": ((width - long) / 2, height / 2),
        "ticks": [
            (mm, 5 if mm % 10 == 0 else 3.5 if mm % 5 == 0 else 2)
            for mm in range(long + 1)
        ],
        "tens": range(0, long + 1, 10),
    }
    made = press().printed(
        render_to_string("labels/print/ruler.html", page), pdf_tags=True
    )
    with pikepdf.open(io.BytesIO(made)) as pdf:
        return finished(pdf, f"Ruler page: {geometry}")
