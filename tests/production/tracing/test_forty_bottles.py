"""Forty bottles, from the pages and the printed sheets, beside a sum done by hand."""

import io
import re
from collections import Counter
from fractions import Fraction as F
from html import unescape

import pdfplumber
import pytest
from django.urls import reverse

from tests.production import tideline
from tests.production.tracing.forty_by_hand import (
    BY_HAND,
    CLOCKS,
    CONTENT,
    COOK,
    DILUTION,
    FIRST_DAY,
    PASTE,
    PURE,
    TIMES,
    Row,
    cells,
    in_pounds,
    numbers,
    rounded,
    written,
)

# --- What the program says -----------------------------------------------------------
pytestmark = pytest.mark.any_database
PAPERS = {"A4": "metric", "Letter": "us"}
_asked = {}


@pytest.fixture(params=PAPERS)
def told(request, desk):
    """The plan, its sheets on screen and in print; asked once for each paper."""
    paper = request.param
    if paper not in _asked:
        shop = tideline.workshop(units=PAPERS[paper], paper=paper)
        query = {
            "version1": shop.filling.pk,
            "amount1": "40",
            "on": "2026-03-16",
            "at": "09:00",
            "vessel": shop.kettle.pk,
        }
        names = ("plan", "plan-sheets", "plan-sheets-pdf")
        _asked[paper] = [desk.get(reverse(name), query) for name in names]
        assert [answer.status_code for answer in _asked[paper]] == [200] * 3
    return paper, *_asked[paper]


def plain_text(html):
    """On a page a thin space stands between groups, on paper a comma."""
    html = html.replace("\u202f", ",")
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", html)).split())


def rows_of(table):
    for row in re.findall(r"<tr>(.*?)</tr>", table.split("<tbody>")[1], re.S):
        found = re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row, re.S)
        yield [plain_text(cell) for cell in found]


def sections(answer):
    """The sheets on screen by their stage."""
    found = re.findall(
        r'<section class="batch-sheet (\w+)"(.*?)</section>',
        answer.content.decode(),
        re.S,
    )
    assert [stage for stage, _ in found] == list(BY_HAND)
    return dict(found)


def printed(answer):
    """The lines of each stage's sheet, and how many pages it takes."""
    sheets = {}
    with pdfplumber.open(io.BytesIO(answer.content)) as pdf:
        for page in pdf.pages:
            lines = page.extract_text().splitlines()
            if lines[-1].endswith(("page 1 of 1", "page 1 of 2")):
                stage = lines[1].split(":")[0].lower()
                sheets[stage] = []
            sheets[stage].append((page, lines))
    assert list(sheets) == list(BY_HAND)
    return sheets


def weighing(pages):
    """The text of the tables in which is weighed, with the names taken out."""
    text, inside = [], False
    for _, lines in pages:
        for line in lines:
            if re.match(
                r"Kettle, 24 L weighs|Lye jug, weighed|Vessel weighs|Take$", line
            ):
                inside = True
            elif re.match(r"Danger|Hot |Steps|Weigh what|Count what|Wrackline", line):
                inside = False
            if inside:
                text.append(line)
    names = {"Kettle, 24 L"}
    for sheet in BY_HAND.values():
        names |= {name for rows in sheet.parts for row in rows for name in row[:2]}
    return re.sub("|".join(map(re.escape, names)), "", "\n".join(text))


# --- The comparison ------------------------------------------------------------------
def test_the_sum_by_hand_closes():
    """What goes in comes out: 1,000 g of oils, and the bottles back again."""
    assert float(PURE) == pytest.approx(199.16344)
    assert float(CONTENT) == pytest.approx(0.648, abs=0.0005)
    for sheet in BY_HAND.values():
        if sheet.unit == "g":
            mixed = sum(row.amount for rows in sheet.parts for row in rows)
            assert mixed == sheet.together
            kept = 1 - F(sheet.loss.removesuffix(" %")) / 100
            assert mixed * kept == sheet.out
    assert DILUTION * F("0.216") == PASTE * CONTENT


def test_the_plan_says_what_goes_in_and_what_is_short(told):
    _, plan, _, _ = told
    html = plan.content.decode().split("</form>", 1)[1]
    parts = re.split(r"<h2>(\w+): ", html)
    for stage, part in zip(parts[1::2], parts[2::2], strict=True):
        sheet = BY_HAND[stage.lower()]
        rows = [row for _, rows in enumerate(sheet.parts) for row in rows]
        if stage == "Filling":
            rows = [rows[0], rows[1]._replace(amount=F(40)), rows[3]]
        weighed = part.split("<h2>How sure the superfat is")[0]
        page = {row[0]: row[1:] for row in rows_of(weighed)}
        assert set(page) == {row.item for row in rows}
        for row in rows:
            amount, source = page[row.item]
            assert numbers(amount) == [as_weighed(row)], row
            assert row.lot.removeprefix("from ") in source
        said = plain_text(part.split("<div")[0])
        assert (
            f"{as_weighed(Row('', '', sheet.out, sheet.unit))} {sheet.unit} come"
            in said
        )
        assert f"loss {sheet.loss}, as the recipe expects" in said.replace(" ,", ",")
    assert "BOT-1 30 pcs 10 pcs short" in plain_text(html)


def as_weighed(row):
    """On the plan a figure ends where its zeros begin."""
    text = str(row.amount) if row.unit == "pcs" else written(row.amount)
    return text.removesuffix(".0")


def test_the_plan_begins_with_oils_the_first_day_and_what_to_buy(told):
    _, plan, _, _ = told
    text = plain_text(plan.content.decode().split("</form>", 1)[1])
    assert f"Oils {written(TIMES * 1000)} g" in text
    assert "Tideline 245 g 40 pcs" in text
    assert f"if begun that day, from {FIRST_DAY}" in text
    assert "Bottle 40 pcs 30 pcs 10 pcs" in text
    assert text.count("pcs short") == 1
    assert (
        f"Soap content of the paste {float(rounded(CONTENT, F(1, 1000)) * 100):.1f} %"
        in text
    )


def test_every_row_of_the_sheets_on_screen(told):
    paper, _, sheets, _ = told
    for stage, html in sections(sheets).items():
        sheet = BY_HAND[stage]
        tables = re.findall(r'<table class="weighing(.*?)</table>', html, re.S)
        shown = [row for table in tables for row in rows_of(table)]
        expected = list(cells(sheet, paper == "Letter"))
        for (row, target, so_far), (name, *figures) in zip(
            expected, shown, strict=True
        ):
            assert name.startswith(row.item)
            assert row.lot in name
            assert [numbers(cell) for cell in figures] == (
                [target, so_far] if sheet.unit == "g" else [target]
            ), (stage, row)


def test_what_comes_out_on_screen(told):
    _, _, sheets, _ = told
    for stage, html in sections(sheets).items():
        sheet, text = BY_HAND[stage], plain_text(html)
        assert f"Date {sheet.day}" in text
        assert f"Expected loss {sheet.loss}" in text
        if sheet.unit == "g":
            assert f"Goes in {written(sheet.together)} g" in text
            assert f"Expected {written(sheet.out)} g" in text
        else:
            assert "Expected 40 pcs" in text


def test_no_figure_of_the_printed_tables_is_without_its_sum(told):
    paper, *_, pdf = told
    us = paper == "Letter"
    for stage, pages in printed(pdf).items():
        sheet = BY_HAND[stage]
        expected = [n for _, *two in cells(sheet, us) for cell in two for n in cell]
        if sheet.tare:
            expected.append(written(sheet.tare))
            expected += numbers(in_pounds(sheet.tare)) if us else []
        assert Counter(numbers(weighing(pages))) == Counter(expected), stage


def test_targets_are_printed_large_and_in_the_order_of_the_hands(told):
    *_, pdf = told
    for stage, pages in printed(pdf).items():
        words = pages[0][0].extract_words(extra_attrs=["size"])
        large = [w["text"] for w in words if 19 < w["size"] < 21]
        rows = [row for part in BY_HAND[stage].parts for row in part]
        assert large == [
            str(row.amount) if row.unit == "pcs" else written(row.amount)
            for row in rows
        ], stage


def test_what_comes_out_and_when_in_print(told):
    *_, pdf = told
    for stage, pages in printed(pdf).items():
        sheet = BY_HAND[stage]
        text = " ".join(" ".join(lines) for _, lines in pages)
        out = "40" if sheet.unit == "pcs" else written(sheet.out)
        assert out in numbers(text.split("what came out")[1])
        assert f"{sheet.loss}, as the recipe expects" in text
        assert f"Date {sheet.day}" in text
        assert len(pages) <= (2 if stage == "cook" else 1)
    cook = printed(pdf)["cook"]
    assert written(COOK) in " ".join(cook[1][1])


def test_the_clock_beside_the_steps(told):
    *_, sheets, pdf = told
    html = sections(sheets)["cook"]
    assert re.findall(r"<b>(\d\d:\d\d)</b>", html) == CLOCKS
    words = [
        word["text"]
        for page, _ in printed(pdf)["cook"]
        for word in page.extract_words(extra_attrs=["size"])
        if 17 < word["size"] < 19
    ]
    assert words == CLOCKS
