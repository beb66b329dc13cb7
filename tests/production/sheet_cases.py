"""Sheets for tests: a few rows under our own headings, as csv or as xlsx."""

import io

from openpyxl import Workbook, load_workbook

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


def opened(answer):
    """The first sheet of a file that a page has sent."""
    return load_workbook(io.BytesIO(answer.getvalue())).worksheets[0]
