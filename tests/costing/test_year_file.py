"""The accountant's file: its formulas give the books' figures, in any program.

The formulas are worked out twice by others than the code that wrote them: by a small
reader of them here, and by LibreOffice where it is installed.
"""

import io
import re
import shutil
import subprocess
from datetime import date
from decimal import Decimal as D

import pytest
from openpyxl import load_workbook

from costing.files.year_file import year_file_xlsx
from costing.reads.books import books_between
from costing.reads.year_file import year_file
from production.buying.actions.purchases import NewLine, record_purchase
from production.buying.actions.suppliers import ensure_supplier
from production.closing.actions import close_book
from production.stock.actions.opening_lots import NewLot
from tests import make
from tests.costing.test_journal_of_books import APRIL, MARCH, act, freight, traded

pytestmark = pytest.mark.django_db
__all__ = ["traded"]
SOFFICE = shutil.which("soffice")


class Reader:
    """Works out the few formulas that the file uses, cell by cell, in decimals."""

    def __init__(self, raw):
        self.book = load_workbook(io.BytesIO(raw))

    def cell(self, sheet, at):
        value = self.book[sheet][at].value
        if isinstance(value, str) and self.book[sheet][at].data_type == "f":
            return self.work_out(sheet, value[1:])
        return D(str(value)) if isinstance(value, int | float) else D(0)

    def work_out(self, sheet, formula):
        def cells(found):
            column, first, last = found[1], int(found[2]), int(found[4])
            assert found[3] == column
            values = [self.cell(sheet, f"{column}{n}") for n in range(first, last + 1)]
            total = sum(values, D(0))
            return f"({sum(map(abs, values), D(0)) if 'ABS' in formula else total})"

        text = re.sub(
            r"(?:SUMPRODUCT\(ABS|SUM)\(([A-Z])(\d+):([A-Z])(\d+)\)", cells, formula
        )
        text = re.sub(
            r"'([^']+)'!([A-Z]\d+)", lambda m: f"({self.cell(m[1], m[2])})", text
        )
        text = re.sub(r"\b([A-Z]\d+)\b", lambda m: f"({self.cell(sheet, m[1])})", text)
        text = text.replace("ROUND", "round")
        text = re.sub(r"(\d+(?:\.\d+)?(?:E[+-]?\d+)?)", r"D('\1')", text)
        text = text.replace(",D('2')", ",2")
        text = text.removesuffix(")") if text.count("(") < text.count(")") else text
        return D(eval(text, {"D": D, "round": round}))

    def summary(self):
        """Each figure by its words: from the sheets, in the books, the difference."""
        found = {}
        for row in range(5, self.book["Summary"].max_row + 1):
            words = self.book["Summary"][f"A{row}"].value
            if words:
                found[words] = [self.cell("Summary", f"{one}{row}") for one in "BCD"]
        return found


def recalculated(raw, tmp_path):
    """The file as LibreOffice writes it after its own recalculation."""
    path = tmp_path / "books.xlsx"
    path.write_bytes(raw)
    subprocess.run(
        [
            *(SOFFICE, "--headless", f"-env:UserInstallation=file://{tmp_path}/home"),
            *("--convert-to", "xlsx:Calc MS Excel 2007 XML", "--outdir"),
            *(str(tmp_path / "again"), str(path)),
        ],
        check=True,
        capture_output=True,
        timeout=180,
    )
    return load_workbook(tmp_path / "again" / "books.xlsx", data_only=True)


def agrees(raw, books):
    found = Reader(raw).summary()
    figures = books.figures
    for words, (sheets, told, check) in found.items():
        if words.startswith("check"):
            assert sheets == 0
        else:
            assert check == 0, words
            assert abs(sheets - told) < D("0.005"), words
    sold = found["cost of goods sold: the rest"][0]
    assert round(sold, 2) == round(D(figures.cost_of_goods_sold) / 10**9, 2)
    assert found["sales, net of sales tax"][1] == D(figures.revenue) / 10**9


def file_of(start, through, method="lots"):
    return year_file_xlsx(year_file(start, through, method))


@pytest.mark.parametrize("method", ["lots", "fifo", "average", "card"])
def test_the_sheets_agree_with_the_books(traded, method):
    agrees(file_of(None, MARCH, method), books_between(None, MARCH, method))
    start = make.day(6)
    agrees(file_of(start, APRIL, method), books_between(start, APRIL, method))


def test_a_late_bill_of_a_closed_month(traded):
    close_book(through=MARCH, **act(date(2026, 4, 2)))
    freight(traded)
    start = date(2026, 4, 1)
    raw = file_of(start, APRIL)
    agrees(raw, books_between(start, APRIL))
    late = load_workbook(io.BytesIO(raw))["Late bills"]
    assert late["B5"].value == pytest.approx(1.214)


def test_the_cover_says_what_it_is(traded):
    make.lot("NEW", price=None)
    book = load_workbook(io.BytesIO(file_of(None, MARCH)))
    said = " ".join(
        str(cell.value) for row in book["About"].iter_rows() for cell in row
    )
    for words in (
        *("Period", "2026-03-31", "USD", "really taken", "licensed adviser"),
        *("What is not in it", "What is not known", "NEW"),
    ):
        assert words in said


def test_no_name_is_a_formula(owner):
    """Whatever a name begins with, it is a text, and marked so that it stays one."""
    evil = ("=HYPERLINK(1)", "+1", "-1", "@SUM(1)")
    lines = [NewLine(None, text=text, price=D(1)) for text in evil]
    record_purchase(
        supplier=ensure_supplier("=cmd()"), number="=2+2", lines=lines, **act(make.DAY)
    )
    oil = NewLine(make.item("=1+1"), [NewLot(D(5), "OIL-E")], price=D(1))
    record_purchase(supplier=ensure_supplier("N"), lines=[oil], **act(make.DAY))
    book = load_workbook(io.BytesIO(file_of(None, MARCH)))
    ours = re.compile(r"=(SUM|SUMPRODUCT|ROUND|'|[A-Z]\d|0$)")
    texts = set()
    for sheet in book:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.data_type == "f":
                    assert ours.match(cell.value), cell.value
                elif isinstance(cell.value, str):
                    texts.add(cell.value)
                    assert cell.quotePrefix == cell.value.startswith(tuple("=+-@"))
    assert {*evil, "=cmd()", "=2+2", "=1+1"} <= texts


@pytest.mark.skipif(not SOFFICE, reason="LibreOffice (soffice) is not installed here")
def test_libreoffice_recalculates_it_to_the_same_figures(traded, tmp_path):
    close_book(through=MARCH, **act(date(2026, 4, 2)))
    freight(traded)
    raw = file_of(date(2026, 3, 1), APRIL)
    wanted, again = Reader(raw).summary(), recalculated(raw, tmp_path)["Summary"]
    seen = 0
    for row in again.iter_rows(min_row=5, values_only=True):
        if row[0]:
            seen += 1
            assert row[1] == pytest.approx(float(wanted[row[0]][0]), abs=1e-7)
            assert not row[3]
    assert seen == len(wanted)
