"""The finished PDF, read back by another library than the one that made it."""

import io

import pdfplumber
import pikepdf
import pypdfium2
import pytest
from fontTools.ttLib import TTFont

from labels.domain.sheets import PRESETS, plain_sheet
from labels.files import faces, label_pdf, picture, press, sheet_pdf
from labels.files.fonts import font_bytes
from labels.files.reading_back import embedded_fonts
from production.quantities.domain.refusal import Refused
from tests.labels.test_label_facts import drawn, least

MM = 25.4 / 72
SIZES = [("60", "90"), ("99.1", "38.1"), ("45", "70")]

pytestmark = pytest.mark.any_database


def pages(content):
    with pdfplumber.open(io.BytesIO(content)) as pdf:
        return [
            (
                float(page.width) * MM,
                float(page.height) * MM,
                page.filter(lambda thing: not turned(thing)).extract_text(),
                "".join(c["text"] for c in page.chars if turned(c)),
            )
            for page in pdf.pages
        ]


def turned(thing):
    return thing["object_type"] == "char" and thing["matrix"][1] != 0


def letters(content, page=0):
    """Each letter with the box of its ink in mm, from the left and the foot."""
    pdf = pypdfium2.PdfDocument(content)
    text = pdf[page].get_textpage()
    for n in range(text.count_chars()):
        left, foot, right, top = (edge * MM for edge in text.get_charbox(n))
        yield text.get_text_range(n, 1), left, foot, right, top


@pytest.mark.parametrize(("width", "height"), SIZES)
@pytest.mark.parametrize("rules", ["us", "eu", "ca"])
def test_the_page_is_as_large_as_the_label(rules, width, height):
    (wide, high, *_), *behind = pages(label_pdf(drawn(rules, width, height), "x"))
    assert wide == pytest.approx(float(width), abs=0.01)
    assert high == pytest.approx(float(height), abs=0.01)
    assert bool(behind) is drawn(rules, width, height).draft


def test_every_element_of_a_us_label_is_on_it():
    (_, _, text, across), *behind = pages(label_pdf(drawn("us"), "Tideline"))
    words = " ".join(text.split())
    for told in (
        "Tideline",
        "Liquid hand and body soap",
        "8 fl oz (236 mL)",
        "Ingredients: Water, Potassium Safflowerate, Glycerin, Potassium Babassuate, "
        "Sodium Chloride, Fragrance",
        "Batch TIDE-8OZ-1",
        "Best used before the end of 12/2027",
        "Wrackline Soap Works, 14 Cooper's Slip, Marrow Point, Maine 04999",
        "Contact: 207-555-0142",
        "Avoid the eyes.",
    ):
        assert told in words
    assert (across, behind) == ("", [])


def test_every_element_of_an_eu_label_is_on_it():
    (_, _, text, _), *_ = pages(label_pdf(drawn("eu"), "Tideline"))
    words = " ".join(text.split())
    for told in ("236 mL", "Aqua, Carthamus", "12M", "Made in United States", "Moreau"):
        assert told in words
    assert "fl oz" not in words


@pytest.mark.parametrize("rules", ["us", "eu", "ca"])
def test_draft_stands_across_exactly_while_something_is_missing(rules):
    full = pages(label_pdf(drawn(rules, "80", "120"), "Tideline"))
    assert [page[3] for page in full] == [""]
    lacking = pages(label_pdf(drawn(rules, "80", "120", ingredients=()), "Tideline"))
    assert sorted(lacking[0][3]) == sorted("DRAFT")
    listed = lacking[1][2]
    assert "Ingredient list" in listed
    assert {"us": "21 CFR 701.3", "eu": "1223/2009", "ca": "c. 869"}[rules] in listed


@pytest.mark.parametrize(("width", "height"), [("60", "90"), ("101.6", "50.8")])
@pytest.mark.parametrize("rules", ["us", "eu", "ca"])
def test_the_ink_of_the_contents_is_as_high_as_the_rules_ask(rules, width, height):
    drawing, low = drawn(rules, width, height), least(rules, width, height)
    (net, *_) = [line for line in drawing.lines if line.part == "contents"]
    end = net.x + faces().bold.width(net.text, net.size)
    box = [
        top - foot
        for text, left, foot, right, top in letters(label_pdf(drawing, "x"))
        if abs(float(drawing.height - net.baseline) - foot) < 0.2
        and right <= end
        and text in "0123456789"
    ]
    assert box
    assert min(box) >= low.net_figures


def test_the_lower_case_letters_of_a_us_list_are_a_sixteenth_of_an_inch():
    drawing = drawn("us")
    rows = {line.baseline for line in drawing.lines if line.part == "ingredients"}
    high = [
        top - foot
        for text, left, foot, right, top in letters(label_pdf(drawing, "x"))
        if text in "oaeu"
        and any(abs(float(drawing.height - row) - foot) < 0.2 for row in rows)
    ]
    assert len(high) > 20
    assert min(high) >= 25.4 / 16


def test_all_embedded_fonts_are_the_one_of_the_package():
    with pikepdf.open(io.BytesIO(label_pdf(drawn(ingredients=()), "x"))) as pdf:
        names = set(embedded_fonts(pdf))
    assert names == {"SourceSansPro-Regular", "SourceSansPro-Bold"}


def test_a_font_that_only_bears_the_name_in_the_stylesheet_is_refused(monkeypatch):
    stranger = TTFont(io.BytesIO(font_bytes(False)))
    for row in list(stranger["name"].names):
        if row.nameID in (1, 4, 6):
            stranger["name"].setName("Stranger", row.nameID, *_kind(row))
    out = io.BytesIO()
    stranger.save(out)
    monkeypatch.setattr(press, "font_bytes", lambda bold: out.getvalue())
    press.press.cache_clear()
    try:
        with pytest.raises(Refused, match="printed in Stranger: only Source Sans Pro"):
            label_pdf(drawn("us"), "x")
    finally:
        press.press.cache_clear()


def _kind(row):
    return row.platformID, row.platEncID, row.langID


def test_a_page_that_the_renderer_changed_is_refused(monkeypatch):
    other = press._pages([drawn("us", "60", "89")], "x")
    monkeypatch.setattr(press, "_pages", lambda drawings, title: other)
    with pytest.raises(Refused, match="differs from what was laid out"):
        label_pdf(drawn("us", "60", "90"), "x")


def test_a_name_that_the_font_cannot_write_hinders_no_draft():
    made = pages(label_pdf(drawn("us", ingredients=()), "Tideline \u6d77"))
    assert "Tideline ?" in made[1][2]


@pytest.mark.parametrize("start", [1, 4])
def test_labels_stand_on_the_sheet_to_a_tenth_of_a_millimetre(start):
    geometry = PRESETS[0]
    drawing = drawn("eu", "99.1", "38.1")
    content = sheet_pdf(drawing, geometry, "x", count=20, start=start)
    first = drawing.lines[0]
    found = []
    for number, page in enumerate(pages(content)):
        assert page[:2] == pytest.approx((210, 297), abs=0.01)
        with pdfplumber.open(io.BytesIO(content)) as pdf:
            found += [
                (number, c["matrix"][4] * MM, 297 - c["matrix"][5] * MM)
                for c in pdf.pages[number].chars
                if c["text"] == "T" and abs(c["size"] * MM - float(first.size)) < 0.01
            ]
    wanted = [divmod(cell, geometry.cells) for cell in range(start - 1, start + 19)]
    assert len(found) == 20
    for (page, x, y), (on, cell) in zip(
        sorted(found, key=_reading), wanted, strict=True
    ):
        left, top = geometry.corner(cell)
        assert page == on
        assert x == pytest.approx(float(left + first.x), abs=0.1)
        assert y == pytest.approx(float(top + first.baseline), abs=0.1)


def _reading(place):
    page, x, y = place
    return page, round(y), x


def test_a_sheet_of_drafts_lists_what_is_missing_behind_it():
    drawing = drawn("us", ingredients=())
    sheet = plain_sheet("Letter", drawing.width, drawing.height)
    made = pages(sheet_pdf(drawing, sheet, "x", count=6, crop=True, paper="Letter"))
    assert len(made) == 2
    assert sorted(made[0][3]) == sorted("DRAFT" * 6)
    assert "Ingredient list" in made[1][2]


def test_crop_marks_stand_outside_the_labels():
    drawing = drawn("us")
    sheet = plain_sheet("A4", drawing.width, drawing.height)
    marked = sheet_pdf(drawing, sheet, "x", count=1, crop=True)
    with pdfplumber.open(io.BytesIO(marked)) as pdf:
        strokes = [line for line in pdf.pages[0].lines if line["width"] * MM < 2]
    left, top = (float(edge) for edge in sheet.corner(0))
    assert len(strokes) == 8
    for stroke in strokes:
        x, y = stroke["x0"] * MM, stroke["top"] * MM
        assert not (left < x < left + 60 and top < y < top + 90)


def test_a_label_of_another_size_than_the_sheets_is_refused():
    with pytest.raises(Refused, match="another size than those of A4, 2 x 7"):
        sheet_pdf(drawn("us"), PRESETS[0], "x", count=1)


def test_the_same_label_is_the_same_text_every_time():
    first, again = (pages(label_pdf(drawn("us"), "x")) for _ in range(2))
    assert first == again


def test_the_picture_on_the_screen_is_drawn_with_the_letters_of_the_print():
    drawing = drawn("us")
    svg = picture(drawing)
    assert 'width="60mm" height="90mm"' in svg
    assert "<text" not in svg
    assert "style" not in svg
    shown = sum(len(line.text.replace(" ", "")) for line in drawing.lines)
    assert svg.count("<use") == shown
    assert svg.count("Draft.") == 0
    assert picture(drawn("us", ingredients=())).count("Draft.") == 1
