"""Labels in every form and design, drawn for the tests."""

from decimal import Decimal

from labels.domain.dress import Dress
from labels.domain.inks import Mark
from labels.domain.layout import lay_out
from labels.files import faces
from tests.labels.test_label_facts import least, worded

FORMS = {"one": ("60", "90"), "pair": ("60", "90"), "wrap": ("200", "70")}
DESIGNS = ("plain", "frame", "band")
MARK = Mark(
    Decimal(100),
    Decimal(50),
    drawn='<g transform="translate(-0 -0)"><path d="M0 50L50 0L100 50Z"/></g>',
)
# The worked examples of the standards' own texts, from memory; their last figures are
# worked out by hand below.
EAN, UPC = "4006381333931", "036000291452"


def dressed(rules="us", form="one", size=None, words=None, **dress):
    width, height = size or FORMS[form]
    more = {"identity": "Liquid soap", "function": "For hands", **(words or {})}
    told = {"product": "Tide", "scent": "Cedar and salt", **dress}
    return lay_out(
        worded(rules, **more),
        Decimal(width),
        Decimal(height),
        least(rules, width, height, **more),
        faces(),
        Dress(form=form, **told),
    )


def boxes(drawing):
    """What each thing takes up: (what, left, top, right, foot); no frame, no ground of
    a name."""
    for line in drawing.lines:
        face = faces()[line.bold]
        yield (
            line.text.strip(),
            line.x,
            line.baseline - face.capital * line.size / 1000,
            line.x + face.width(line.text.rstrip(), line.size),
            line.baseline,
        )
    for ink in drawing.inks:
        if ink.what not in ("frame", "band", *CODES):
            yield ink.what, ink.x, ink.y, ink.x + ink.width, ink.y + ink.height
    for one in drawing.marks:
        yield "mark", one.x, one.y, one.x + one.width, one.y + one.height
    for jar in drawing.jars:
        # The months stand inside it.
        yield "jar", jar.x, jar.y, jar.x + jar.height, jar.y + jar.height


CODES = ("Code 128", "QR code", "EAN-13", "UPC-A")
