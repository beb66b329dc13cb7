"""Sheets and rolls in the finished file, read by libraries that did not make it."""

import io
from decimal import Decimal

import pdfplumber
import pikepdf
import pypdfium2
import pytest

from labels.domain.dress import Dress
from labels.domain.durability import Keeping
from labels.domain.layout import lay_out
from labels.domain.sheets import PRESETS, Geometry, plain_sheet, roll
from labels.domain.stick_over import stick_over
from labels.files import Run, faces, label_pdf, ruler_pdf, runs_pdf, sheet_pdf
from labels.files import press as pressed
from production.quantities.domain.refusal import Refused
from tests.labels.dressed import MARK, dressed
from tests.labels.test_label_facts import drawn, least, worded

MM = 25.4 / 72
# A letter may stand so far from where it was laid out, in mm.
NEAR = 0.05
pytestmark = pytest.mark.any_database
SHEET = PRESETS[0]


def lot(code, rules="eu", width="99.1", height="38.1"):
    content = worded(rules, batch=code)
    size = Decimal(width), Decimal(height)
    dress = Dress(product="Tide")
    return lay_out(content, *size, least(rules, width, height), faces(), dress)


def letters(content, letter, size):
    """(page, x, y) of the start of each such letter in mm, in the order of reading."""
    with pdfplumber.open(io.BytesIO(content)) as pdf:
        found = [
            (
                page.page_number,
                one["matrix"][4] * MM,
                (float(page.height) - one["matrix"][5]) * MM,
            )
            for page in pdf.pages
            for one in page.chars
            if one["text"] == letter and abs(one["size"] * MM - float(size)) < 0.01
        ]
    return sorted(found, key=lambda at: (at[0], round(at[2]), at[1]))


@pytest.mark.parametrize("form", ["one", "pair", "wrap"])
@pytest.mark.parametrize("design", ["plain", "frame", "band"])
def test_every_line_of_every_side_is_within_a_twentieth_of_a_millimetre(form, design):
    drawing = dressed(
        "eu", form, design=design, mark=MARK, batch_code="qr", estimated=True
    )
    content = label_pdf(drawing, "x")
    with pdfplumber.open(io.BytesIO(content)) as pdf:
        assert len(pdf.pages) == len(drawing.sides)
        for page, side in zip(pdf.pages, drawing.sides, strict=True):
            assert float(page.width) * MM == pytest.approx(float(side.width), abs=NEAR)
            assert float(page.height) * MM == pytest.approx(
                float(side.height), abs=NEAR
            )
            for line in side.lines:
                assert any(
                    one["text"] == line.text[0]
                    and abs(one["matrix"][4] * MM - float(line.x)) < NEAR
                    and abs(
                        (float(page.height) - one["matrix"][5]) * MM
                        - float(line.baseline)
                    )
                    < NEAR
                    and abs(one["size"] * MM - float(line.size)) < NEAR
                    for one in page.chars
                ), line


def test_symbols_bars_and_marks_are_within_a_twentieth_of_a_millimetre():
    drawing = dressed(
        "eu", "pair", ("90", "120"), mark=MARK, estimated=True, batch_code="qr"
    )
    pdf = pypdfium2.PdfDocument(label_pdf(drawing, "x"))
    for page, side in zip(pdf, drawing.sides, strict=True):
        high = page.get_height() * MM
        seen = [
            (left * MM, high - top * MM, right * MM, high - foot * MM)
            for thing in page.get_objects()
            if thing.type != 1
            for left, foot, right, top in [thing.get_bounds()]
        ]
        for ink in side.inks:
            if ink.what == "e-mark":
                assert any(
                    abs(x - float(ink.x)) < NEAR
                    and abs(y2 - float(ink.y + ink.height)) < NEAR
                    and abs((y2 - y1) - float(ink.height)) < NEAR
                    for x, y1, _, y2 in seen
                )
                assert ink.height >= 3


def test_the_ink_is_black_and_white_alone():
    for design in ("plain", "frame", "band"):
        drawing = dressed(
            "eu", design=design, mark=MARK, batch_code="qr", estimated=True
        )
        with pikepdf.open(io.BytesIO(label_pdf(drawing, "x"))) as pdf:
            colours = {
                tuple(map(str, one.operands))
                for one in pikepdf.parse_content_stream(pdf.pages[0])
                if str(one.operator) in ("rg", "RG", "g", "G", "k", "K")
            }
        assert colours <= {("0", "0", "0"), ("1", "1", "1")}


def test_a_page_whose_bars_were_moved_is_refused(monkeypatch):
    drawing = dressed(batch_code="qr")
    other = dressed(batch_code="qr", words={"batch": "TIDE-8OZ-2"})
    page = pressed._pages([other], "x").replace("TIDE-8OZ-2", "TIDE-8OZ-1")
    monkeypatch.setattr(pressed, "_pages", lambda drawings, title: page)
    with pytest.raises(Refused, match="differs from what was laid out"):
        label_pdf(drawing, "x")


@pytest.mark.parametrize("made", ["label", "sheet", "ruler", "draft"])
def test_no_viewer_is_asked_to_shrink_a_page_and_each_says_its_title_and_language(made):
    drawing = lot("TIDE-1")
    content = {
        "label": lambda: label_pdf(drawing, "Tide: front"),
        "sheet": lambda: sheet_pdf(drawing, SHEET, "Tide: front", count=20),
        "ruler": lambda: ruler_pdf(SHEET),
        "draft": lambda: sheet_pdf(
            drawn("us", "99.1", "38.1", ingredients=()), SHEET, "Tide: front", count=2
        ),
    }[made]()
    with pikepdf.open(io.BytesIO(content)) as pdf:
        # ISO 32000-1 12.2 and 14.7, from memory.
        assert pdf.Root.ViewerPreferences.PrintScaling == "/None"
        assert str(pdf.Root.Lang) == "en"
        assert bool(pdf.Root.MarkInfo.Marked)
        assert str(pdf.docinfo["/Title"]).startswith(
            "Ruler" if made == "ruler" else "Tide"
        )
        numbers = {page.obj.StructParents for page in pdf.pages}
        assert len(numbers) == len(pdf.pages)
        held = pdf.Root.StructTreeRoot.ParentTree.Nums
        assert numbers <= {held[n] for n in range(0, len(held), 2)}


def test_whoever_listens_is_told_once_a_row_what_its_labels_say():
    content = runs_pdf([Run(lot("TIDE-1"), 3), Run(lot("TIDE-2"), 1)], SHEET, "x")
    with pikepdf.open(io.BytesIO(content)) as pdf:
        told = [str(part.Alt) for part in pdf.Root.StructTreeRoot.K[0].K]
    assert told[0].startswith("3 labels: Tide")
    assert "TIDE-1" in told[0]
    assert told[1].startswith("Tide")
    assert "TIDE-2" in told[1]


@pytest.mark.parametrize(
    "geometry", [SHEET, plain_sheet("A4", Decimal("99.1"), Decimal("38.1"))]
)
def test_the_margin_of_a_sheet_says_100_percent_outside_the_labels(geometry):
    content = sheet_pdf(lot("TIDE-1"), geometry, "x", count=1, start=1, crop=True)
    with pdfplumber.open(io.BytesIO(content)) as pdf:
        page = pdf.pages[0]
        assert "Print at 100 %" in page.extract_text()
        (note,) = page.search("Print at 100 %")
        top, foot = note["top"] * MM, note["bottom"] * MM
    assert top >= 4
    assert foot <= float(geometry.corner(0)[1]) - 1.9


def test_a_full_sheet_says_nothing_over_its_labels():
    full = Geometry(
        *map(Decimal, ("210", "297", "105", "99")), 2, 3, Decimal(0), Decimal(0)
    )
    content = sheet_pdf(lot("TIDE-1", width="105", height="99"), full, "x", count=6)
    with pdfplumber.open(io.BytesIO(content)) as pdf:
        assert "100 %" not in pdf.pages[0].extract_text()


@pytest.mark.parametrize(("right", "down"), [("0", "0"), ("1.25", "-0.8"), ("-2", "3")])
def test_a_sheet_is_moved_by_what_the_printer_is_off(right, down):
    drawing, moves = lot("TIDE-1"), (Decimal(right), Decimal(down))
    moved = Geometry(
        *(
            getattr(SHEET, name)
            for name in (
                "page_width",
                "page_height",
                "label_width",
                "label_height",
                "columns",
                "rows",
                "left",
                "top",
                "gap_across",
                "gap_down",
            )
        ),
        *moves,
    )
    found = letters(
        sheet_pdf(drawing, moved, "x", count=14), "T", drawing.lines[0].size
    )
    first = drawing.lines[0]
    for (_, x, y), cell in zip(found, range(14), strict=True):
        left, top = SHEET.corner(cell)
        assert x == pytest.approx(float(left + first.x + moves[0]), abs=NEAR)
        assert y == pytest.approx(float(top + first.baseline + moves[1]), abs=NEAR)


def test_a_printer_that_is_off_by_centimetres_is_asked_about():
    with pytest.raises(Refused, match="more than 10 mm"):
        Geometry(
            *[Decimal(50)] * 2, *[Decimal(20)] * 2, 1, 1, *[Decimal(0)] * 4, Decimal(11)
        )


def test_a_roll_has_one_label_a_page_and_its_gap_below():
    made = roll(Decimal("99.1"), Decimal("38.1"), Decimal(3))
    assert str(made) == "roll of 99.1 x 38.1 mm"
    drawing = lot("TIDE-1")
    content = sheet_pdf(drawing, made, "x", count=5)
    with pdfplumber.open(io.BytesIO(content)) as pdf:
        assert len(pdf.pages) == 5
        for page in pdf.pages:
            assert float(page.width) * MM == pytest.approx(99.1, abs=NEAR)
            assert float(page.height) * MM == pytest.approx(41.1, abs=NEAR)
    for _, x, y in letters(content, "T", drawing.lines[0].size):
        assert x == pytest.approx(float(drawing.lines[0].x), abs=NEAR)
        assert y == pytest.approx(float(drawing.lines[0].baseline), abs=NEAR)


def test_lots_follow_each_other_from_the_first_free_cell():
    runs = [Run(lot("TIDE-1"), 3), Run(lot("TIDE-2"), 12), Run(lot("SLIP-33"), 2)]
    content = runs_pdf(runs, SHEET, "x", start=13)
    with pdfplumber.open(io.BytesIO(content)) as pdf:
        told = [
            [
                page.extract_text().count(code)
                for code in ("TIDE-1", "TIDE-2", "SLIP-33")
            ]
            for page in pdf.pages
        ]
    assert told == [[2, 0, 0], [1, 12, 1], [0, 0, 1]]


def test_what_lots_share_is_drawn_once_and_each_has_its_own_number():
    runs = [Run(lot(f"TIDE-{n:03}"), 1) for n in range(30)]
    content = runs_pdf(runs, SHEET, "x")
    with pikepdf.open(io.BytesIO(content)) as pdf:
        forms = pdf.pages[0].Resources.XObject
        sizes = [
            len(form.read_bytes()) for name, form in forms.items() if name != "/Note"
        ]
    assert len(sizes) == 31
    assert sorted(sizes)[-2] < max(sizes) / 2
    with pdfplumber.open(io.BytesIO(content)) as pdf:
        text = " ".join(page.extract_text() for page in pdf.pages)
    assert all(text.count(f"TIDE-{n:03}") == 1 for n in range(30))
    assert text.count("Ingredients:") == 30


def test_of_a_pair_front_and_back_stand_next_to_each_other():
    drawing = dressed("us", "pair", ("60", "90"))
    sheet = plain_sheet("A4", drawing.width, drawing.height)
    content = sheet_pdf(drawing, sheet, "x", count=2)
    with pdfplumber.open(io.BytesIO(content)) as pdf:
        (page,) = pdf.pages
        assert page.extract_text().count("Tide") >= 2
        fronts = [
            word["x0"] * MM for word in page.extract_words() if word["text"] == "Tide"
        ]
        backs = [
            w["x0"] * MM for w in page.extract_words() if w["text"] == "Ingredients:"
        ]
    assert len(fronts) == len(backs) == 2
    # Three in a row: front, back, front, and the second back below.
    columns = [float(sheet.corner(cell)[0]) for cell in range(3)]
    assert columns[0] < min(fronts) < columns[1]
    assert columns[2] < max(fronts)
    assert columns[0] < min(backs) < columns[1] < max(backs) < columns[2]


def test_the_ruler_page_has_the_length_it_says_and_the_outlines_of_its_labels():
    with pdfplumber.open(io.BytesIO(ruler_pdf(SHEET))) as pdf:
        (page,) = pdf.pages
        assert "Both lines are 100 mm long" in " ".join(page.extract_text().split())
        assert float(page.width) * MM == pytest.approx(210, abs=NEAR)
        lines = [*page.lines, *page.curves]
        rects = sorted(
            (round(r["top"]), r["x0"], r["top"], r["width"], r["height"])
            for r in page.rects
            if r["stroke"]
        )
    wide = max(line["x1"] - line["x0"] for line in lines) * MM
    high = max(line["bottom"] - line["top"] for line in lines) * MM
    assert wide == pytest.approx(100, abs=NEAR)
    assert high == pytest.approx(100, abs=NEAR)
    assert len(rects) == SHEET.cells
    for (_, x, y, width, height), cell in zip(rects, range(SHEET.cells), strict=True):
        left, top = SHEET.corner(cell)
        wanted = [
            float(one) for one in (left, top, SHEET.label_width, SHEET.label_height)
        ]
        assert [one * MM for one in (x, y, width, height)] == pytest.approx(
            wanted, abs=NEAR
        )


def over(words="", width="40", height="15", **more):
    return stick_over(
        worded("eu", **more),
        words,
        Decimal(width),
        Decimal(height),
        least("eu", "60", "90"),
        faces(),
    )


def test_a_stick_over_holds_the_number_and_the_date_or_the_corrected_text():
    dated = over()
    assert "TIDE-8OZ-1" in " ".join(line.text for line in dated.lines)
    corrected = over("Ingredients: Aqua, Glycerin\nRinse well.")
    assert " ".join(line.text for line in corrected.lines) == (
        "Ingredients: Aqua, Glycerin Rinse well."
    )
    with pdfplumber.open(io.BytesIO(label_pdf(corrected, "x"))) as pdf:
        (page,) = pdf.pages
        assert float(page.width) * MM == pytest.approx(40, abs=NEAR)
        assert min(c["size"] for c in page.chars) * MM * 0.486 >= 0.9


def test_a_stick_over_of_a_label_that_is_a_draft_is_one_too():
    assert over(ingredients=()).draft
    assert not over().draft


def test_a_stick_over_that_is_too_small_says_by_how_much_and_without_words_is_refused():
    assert "it lacks" in over("Rinse well. " * 70).missing[-1].why
    with pytest.raises(Refused, match="write the corrected text"):
        over(batch=None, keeping=Keeping())
    with pytest.raises(Refused, match="10 to 300 mm"):
        over(width="5")
