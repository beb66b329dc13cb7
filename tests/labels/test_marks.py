"""The maker's own mark: what is taken, what is refused, and how it is printed."""

import io

import pypdfium2
import pytest
from PIL import Image, ImageDraw

from labels.domain.paint import contrast_on_white
from labels.files import label_pdf, picture
from labels.files.marks import SVG, mark_of, read_mark
from production.quantities.domain.refusal import Refused
from tests.labels.dressed import dressed

pytestmark = pytest.mark.any_database
XML = 'xmlns="http://www.w3.org/2000/svg"'


def svg(inside, head='viewBox="0 0 40 20"'):
    return f"<svg {XML} {head}>{inside}</svg>".encode()


def png(colour, size=(600, 300), mode="RGBA"):
    made = Image.new(mode, size, (0, 0, 0, 0) if mode == "RGBA" else "white")
    ImageDraw.Draw(made).ellipse((10, 10, size[0] - 10, size[1] - 10), fill=colour)
    out = io.BytesIO()
    made.save(out, "PNG")
    return out.getvalue()


@pytest.mark.parametrize(
    ("raw", "says"),
    [
        (svg("<script>alert(1)</script>"), "holds a script"),
        (svg('<path d="M0 0h9v9z" fill="white"/>'), "drawing is white"),
        (svg('<path d="M0 0h9v9z" onload="alert(1)"/>'), "holds a script"),
        (svg('<path d="M0 0h9v9z"/>', 'viewBox="0 0 9 9" onload="x()"'), "a script"),
        (svg('<image href="https://example.org/a.png"/>'), "from elsewhere"),
        (svg('<use href="#a"/>'), "from elsewhere"),
        (svg("<foreignObject><p>x</p></foreignObject>"), "from elsewhere"),
        (svg('<a href="javascript:x()"><path d="M0 0h9"/></a>'), "from elsewhere"),
        (svg('<path d="M0 0h9v9z" fill="url(https://example.org/#a)"/>'), "elsewhere"),
        (svg('<path d="M0 0h9v9z" style="fill:url(#a)"/>'), "elsewhere"),
        (svg('<style>@import url(x)</style><path d="M0 0h9v9z"/>'), "style sheet"),
        (svg("<text>Tide</text>"), "into outlines"),
        (svg('<path d="M0 0h9v9z" opacity="0.3"/>'), "uses opacity"),
        (svg('<path d="M0 0h9v9z" fill="#ccc"/>'), "contrast of 1.6"),
        (svg('<path d="M0 0h9v9z" fill="mist"/>'), "no colour"),
        (svg('<path d="M0 0&quot;/>&lt;script>"/>'), "cannot be read"),
        (svg('<animate attributeName="d"/>'), "cannot be drawn"),
        (svg(""), "Nothing is drawn"),
        (svg('<path d="M0 0h9v9z"/>', ""), "how large it is"),
        (svg('<path d="M0 0h9v9z"/>', 'viewBox="0 0 1 NaN"'), "how large it is"),
        (svg('<path d="M0 0h9v9z"/>', 'viewBox="0 0 400 2"'), "ten times"),
        (svg("<g>" * 40 + '<path d="M0 0h9v9z"/>' + "</g>" * 40), "nested too deep"),
        (b"<svg", "no SVG drawing"),
        (b"<html/>", "no SVG drawing"),
        (b'<!DOCTYPE svg [<!ENTITY a "b">]>' + svg("&a;"), "ENTITY"),
    ],
)
def test_a_drawing_that_runs_fetches_or_would_come_out_otherwise_is_refused(raw, says):
    with pytest.raises(Refused, match=says):
        read_mark("mark.svg", raw)


def test_what_the_drawing_program_noted_is_left_out_and_shapes_stay():
    raw = svg(
        '<title>x</title><metadata>y</metadata><b:view xmlns:b="urn:b" b:zoom="1"/>'
        '<g fill="#222" transform="translate(1 2)" style="display:inline">'
        '<path id="p" d="M0 0h9v9z" class="x"/>'
        '<circle cx="5" cy="5" r="2" fill="white"/></g>'
        '<rect width="3" height="3" style="display:none"/>'
    )
    mark = mark_of(SVG, raw)
    assert mark.drawn == (
        '<g transform="translate(0 0)"><g transform="translate(1 2)">'
        '<path d="M0 0h9v9z" fill="#222"/></g><g transform="translate(1 2)">'
        '<circle cx="5" cy="5" fill="white" r="2"/></g></g>'
    )
    assert mark.shape == 2


def test_nothing_of_a_drawing_reaches_beyond_its_own_room():
    raw = svg('<path d="M-4000 -4000h9000v9000h-9000z"/>')
    drawing = dressed(form="pair", mark=mark_of(SVG, raw))
    front = drawing.sides[0]
    (one,) = front.marks
    page = pypdfium2.PdfDocument(label_pdf(drawing, "x"))[0]
    seen = page.render(scale=300 / 72).to_pil().convert("L")
    dots = 300 / 25.4
    below = (0, int(float(one.y + one.height) * dots) + 2, seen.width)
    beside = int(float(one.x + one.width) * dots) + 2
    assert seen.crop((beside, 0, seen.width, below[1])).getextrema()[0] == 255
    inner = (
        int(float(one.x) * dots) + 3,
        int(float(one.y) * dots) + 3,
        beside - 6,
        below[1] - 6,
    )
    assert seen.crop(inner).getextrema()[1] == 0
    assert "inside-mark" in picture(drawing)


@pytest.mark.parametrize("mode", ["RGBA", "RGB"])
def test_a_dark_picture_is_taken_and_printed_at_its_size(mode):
    paper = read_mark("mark.png", png("black", mode=mode))
    drawing = dressed(form="pair", mark=mark_of(paper.type, paper.raw))
    assert drawing.remarks == ()
    (one,) = drawing.sides[0].marks
    page = pypdfium2.PdfDocument(label_pdf(drawing, "x"))[0]
    found = [thing for thing in page.get_objects() if thing.type == 3]
    left, foot, right, top = (edge * 25.4 / 72 for edge in found[0].get_bounds())
    assert right - left == pytest.approx(float(one.width), abs=0.05)
    assert top - foot == pytest.approx(float(one.height), abs=0.05)
    assert left == pytest.approx(float(one.x), abs=0.05)


def test_a_coarse_picture_is_printed_with_a_remark():
    drawing = dressed(mark=mark_of("image/png", png("black", (90, 60))))
    assert "dots per inch: from 300 on it is sharp" in drawing.remarks[0]
    assert not drawing.draft


@pytest.mark.parametrize(
    ("name", "raw", "says"),
    [
        ("mark.png", png("#bbb"), "too light"),
        ("mark.png", png("white", mode="RGB"), "is white"),
        ("mark.png", png("black", (20, 20)), "20 x 20 pixels"),
        ("mark.png", b"\x89PNG\r\n\x1a\n broken", "cannot be read"),
        ("mark.png", svg('<path d="M0 0h9"/>'), "not what its name says"),
        ("mark.jpg", png("black"), "save it as SVG or PNG"),
        ("mark.svg", b"", "is empty"),
    ],
)
def test_a_picture_that_would_not_be_seen_is_refused(name, raw, says):
    with pytest.raises(Refused, match=says):
        read_mark(name, raw)


@pytest.mark.parametrize(
    ("colour", "contrast"),
    # WCAG 2.2: white 1, black 21; #767676 is the lightest grey of 4.5 (its own example
    # as widely cited, from memory).
    [((255, 255, 255), 1), ((0, 0, 0), 21), ((0x76, 0x76, 0x76), 4.54)],
)
def test_contrast_is_that_of_the_guidelines(colour, contrast):
    assert contrast_on_white(colour) == pytest.approx(contrast, abs=0.01)
