"""The one font of every label: its measures and outlines."""

import io
from functools import cache

from fontTools.pens.svgPathPen import SVGPathPen
from fontTools.ttLib import TTFont

from labels.domain.columns import Face, Faces
from production.papers.files.pdf import font_bytes

FIGURES = "0123456789"


@cache
def _font(bold: bool) -> TTFont:
    font = TTFont(io.BytesIO(font_bytes(bold)))
    if font["head"].unitsPerEm != 1000:
        raise ValueError("the font counts in other units than thousandths")
    return font


@cache
def faces() -> Faces:
    """Widths and real heights of the letters, read from their outlines."""
    return Faces(_face(bold=False), _face(bold=True))


def _face(*, bold: bool) -> Face:
    font = _font(bold)
    names, wide = font.getBestCmap(), font["hmtx"]

    def top(letter: str) -> int:
        return font["glyf"][names[ord(letter)]].yMax

    return Face(
        widths={chr(code): wide[name][0] for code, name in names.items()},
        # Flat letters: round ones reach a little higher.
        x=top("x"),
        capital=top("H"),
        figure=min(top(figure) for figure in FIGURES),
        ascent=font["hhea"].ascent,
        descent=-font["hhea"].descent,
    )


@cache
def outline(letter: str, bold: bool) -> str:
    """The path of a letter, in thousandths, upwards from the baseline."""
    font = _font(bold)
    pen = SVGPathPen(font.getGlyphSet())
    font.getGlyphSet()[font.getBestCmap()[ord(letter)]].draw(pen)
    return pen.getCommands()
