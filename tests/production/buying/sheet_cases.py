"""Sheets for tests: a few rows under our own headings, as csv or as xlsx."""

import io
from csv import reader
from pathlib import Path

from openpyxl import Workbook, load_workbook

from production.buying.domain.purchase_headings import HEADINGS
from production.buying.files import purchase_template

PURCHASES = Path(__file__).parents[3] / "fixtures" / "demo" / "purchases.csv"

HEAD = ("Date arrived", "Supplier", "Invoice no.", "Item", "Kind", "Amount", "Price")
OIL = ("2026-03-02", "Northmere Oils", "NO-1", "olive oil", "material", "5 kg", "40")


def csv(*rows, head=HEAD):
    return "\n".join(";".join(row) for row in (head, *rows)).encode()


def xlsx(*rows, head=HEAD, formats=(), title="Purchases"):
    """``formats`` maps a cell's name to its number format."""
    book = Workbook()
    book.active.title = title
    for row in (head, *rows):
        book.active.append(row)
    for name, shown in dict(formats).items():
        book.active[name].number_format = shown
    file = io.BytesIO()
    book.save(file)
    return file.getvalue()


def demo_sheet():
    """The demo's purchases, written into the sheet that the house gives out."""
    titles, *rows = reader(PURCHASES.read_text(encoding="utf-8").splitlines())
    book = load_workbook(io.BytesIO(purchase_template()))
    for row in rows:
        cells = dict(zip(titles, row, strict=True))
        book.worksheets[0].append([cells.get(one.words) or None for one in HEADINGS])
    file = io.BytesIO()
    book.save(file)
    return file.getvalue()


def opened(answer):
    """The first sheet of a file that a page has sent."""
    return load_workbook(io.BytesIO(answer.getvalue())).worksheets[0]
