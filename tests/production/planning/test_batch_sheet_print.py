"""The printed sheet, read back by another library than the one that made it."""

import io
from dataclasses import replace
from decimal import Decimal
from itertools import pairwise

import pdfplumber
import pikepdf
import pytest

from production.papers.files.pdf import print_pdf
from production.planning.domain.batch_sheet import Check
from production.planning.domain.lines import SheetLine, Tare
from production.planning.files import batch_sheets_pdf
from production.quantities.domain.refusal import Refused
from production.recipes.domain.clock_steps import parse_steps
from tests.production.planning.test_batch_sheet import COOK, FILLING, FINISHING

PLAN = (COOK, FINISHING, FILLING)
pytestmark = pytest.mark.any_database
# ISO 216 and ANSI Y14.1, in points.
SIZES = {"A4": (595.28, 841.89), "Letter": (612, 792)}
PEN = 9 * 72 / 25.4


@pytest.fixture(scope="module", params=SIZES)
def printed(request):
    content = batch_sheets_pdf(PLAN, request.param)
    with pdfplumber.open(io.BytesIO(content)) as pdf:
        yield request.param, content, pdf.pages


def words(pages):
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def test_every_page_has_the_size_of_the_paper(printed):
    paper, _, pages = printed
    for page in pages:
        assert (float(page.width), float(page.height)) == pytest.approx(
            SIZES[paper], abs=0.1
        )


def test_a_cook_takes_two_pages_and_the_others_one(printed):
    _, _, pages = printed
    feet = [page.extract_text().splitlines()[-1] for page in pages]
    assert [foot[foot.index("page") :] for foot in feet] == [
        "page 1 of 2",
        "page 2 of 2",
        "page 1 of 1",
        "page 1 of 1",
    ]
    for foot in feet:
        assert foot.startswith("Wrackline Soap Works · Tideline v3 · 4f1c9a7b23de ")


def test_a_page_that_comes_loose_says_where_it_belongs(printed):
    _, _, pages = printed
    first = pages[1].extract_text().splitlines()[0]
    assert first == "Cook: Tideline paste · PASTE-T1"


def test_only_source_sans_is_in_it(printed):
    _, content, pages = printed
    assert {char["fontname"].split("+")[-1] for page in pages for char in page.chars}
    with pikepdf.open(io.BytesIO(content)) as pdf:
        named = {
            str(thing["/FontName"])
            for thing in pdf.objects
            if isinstance(thing, pikepdf.Dictionary)
            and thing.get("/Type") == "/FontDescriptor"
        }
    assert named
    assert all("Source-Sans-Pro" in name for name in named), named


def test_every_figure_is_on_it(printed):
    _, _, pages = printed
    text = words(pages)
    for sheet in PLAN:
        assert sheet.batch_mark in text
        assert sheet.made.text in text
        for part in sheet.parts:
            for row in part.rows:
                figures = (row.target, row.total, row.shows)
                assert all(one.text in text for one in figures if one)
                assert row.line.lot in text
        for check in sheet.checks:
            assert set(check.limits.split()) <= set(text.split())
        for step in sheet.steps:
            assert step.hour in text


def test_targets_can_be_read_at_arms_length(printed):
    _, _, pages = printed
    for sheet, page in zip(PLAN, (pages[0], pages[2], pages[3]), strict=True):
        told = page.extract_words(extra_attrs=["size"])
        for part in sheet.parts:
            for row in part.rows:
                sizes = [w["size"] for w in told if w["text"] == row.target.text]
                assert 17 <= max(sizes) <= 22
                name = row.line.item.split()[0]
                assert max(w["size"] for w in told if w["text"] == name) >= 14


def test_blanks_are_high_enough_for_a_pen(printed):
    """Between two rules that cross the whole table there are at least 9 mm."""
    _, _, pages = printed
    page = pages[2]
    lines = sorted(
        {
            round(edge["top"], 1)
            for edge in page.edges
            if edge["orientation"] == "h" and edge["x1"] > page.width - 45
        }
    )
    rows = [low - high for high, low in pairwise(lines)]
    assert len([row for row in rows if row >= PEN]) >= 12


def test_cautions_stand_where_the_hand_acts(printed):
    _, _, pages = printed
    text = words(pages)
    assert text.index("Oleic acid") < text.index("Danger: lye burns")
    assert text.index("Danger: lye burns") < text.index("Lye jug, weighed apart")
    assert text.index("Hot paste sticks") < text.index("Thick trace")
    assert "Poison centre 1-800-222-1222" in text
    assert "Safety data sheets first" in text


def test_the_hazards_are_drawn_in_their_red_frame(printed):
    _, _, pages = printed
    red = (0.816, 0.063, 0.106)
    for page in pages[:2]:
        frames = [
            curve["stroking_color"]
            for curve in (*page.curves, *page.rects)
            if curve["stroking_color"] and len(curve["stroking_color"]) == 3
        ]
        assert any(color == pytest.approx(red, abs=0.01) for color in frames)


def test_a_long_table_repeats_its_head_and_splits_no_row():
    lines = tuple(
        SheetLine(f"Material{n}", f"LOT-{n}", Decimal(100 + n), note="stir")
        for n in range(40)
    )
    content = batch_sheets_pdf([replace(FINISHING, lines=lines)], "A4")
    with pdfplumber.open(io.BytesIO(content)) as pdf:
        texts = [page.extract_text() for page in pdf.pages]
    held = [text for text in texts if "Material" in text.replace("Material and", "")]
    assert len(held) > 1
    assert all("Material and lot" in text for text in held)
    for n in range(40):
        (page,) = [text for text in held if f"Material{n}" in text.split()]
        assert f"LOT-{n}" in page.split()


@pytest.mark.parametrize("stage", ["preparation", "dilution", "packing", "rework"])
def test_every_stage_has_its_sheet(stage):
    lines = (
        SheetLine("Paste", "PASTE-T1", Decimal("5000"), kind="soap"),
        SheetLine("Water", "DW-1", Decimal("9886"), kind="water"),
    )
    alkali = SheetLine("Flakes", "KOH-1", Decimal("60"), kind="alkali")
    more = (alkali,) if stage == "rework" else ()
    sheet = replace(
        FINISHING, stage=stage, lines=lines + more, tare=Tare("Pot"), units="us"
    )
    with pdfplumber.open(io.BytesIO(batch_sheets_pdf([sheet], "Letter"))) as pdf:
        text = words(pdf.pages)
    assert ("Danger: lye" in text) is (stage == "rework")
    assert "11 lb 0.37 oz" in text


def test_signs_that_the_font_lacks_become_question_marks():
    odd = replace(
        FILLING,
        makes="Tideline \U0001f9fc",
        remarks=("\u6d77 <b>",),
        steps=parse_steps("Rinse \u2603", None),
        checks=(Check("clarity"),),
    )
    content = batch_sheets_pdf([odd], "A4")
    with pdfplumber.open(io.BytesIO(content)) as pdf:
        text = words(pdf.pages)
    assert "Tideline ?" in text
    assert "? <b>" in text


def test_nothing_is_fetched():
    html = '<img src="file:///etc/hostname"><img src="http://127.0.0.1:1/x.png">Soap'
    with pdfplumber.open(io.BytesIO(print_pdf(html, "p { margin: 0 }"))) as pdf:
        assert pdf.pages[0].images == []


def test_another_paper_and_an_empty_plan_are_refused():
    with pytest.raises(Refused, match="A4 or Letter"):
        batch_sheets_pdf(PLAN, "A5")
    with pytest.raises(Refused, match="no sheet to print"):
        batch_sheets_pdf([], "A4")
