"""Sheets that go out, as xlsx: any list, and the form for a sheet of purchases."""

import re
import tempfile
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import IO, Any

from openpyxl import Workbook
from openpyxl.cell import Cell, WriteOnlyCell
from openpyxl.styles import Alignment, Font
from openpyxl.utils import get_column_letter

Value = str | int | Decimal | date | None

# A spreadsheet program takes such a text for a formula once somebody edits it.
_STARTS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r")
# What the format's XML cannot hold.
_UNWRITABLE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
_NOT_IN_A_TITLE = re.compile(r"[\[\]:*?/\\]")
_NARROW = 12


@dataclass(frozen=True, slots=True)
class Stamp:
    """Where a sheet came from: it outlives the page that it was taken from."""

    version: str
    workshop: str
    day: date
    narrowed: str = ""

    def __str__(self) -> str:
        words = [self.workshop, f"{self.day}", f"Kettlebook {self.version}"]
        return ", ".join(filter(None, [*words, self.narrowed]))


def write_sheet(
    title: str,
    headings: Sequence[str],
    rows: Iterable[Sequence[Value]],
    *,
    stamp: Stamp,
    totals: Sequence[Value] = (),
) -> IO[bytes]:
    """A temporary file with the list, at its start; it is gone once it is closed.

    Rows go to the disk one by one, so that a long list needs no more memory.
    """
    book = Workbook(write_only=True)
    book.properties.creator = _clean(stamp.workshop) or "Kettlebook"
    book.properties.title = _clean(title)
    book.properties.description = _clean(str(stamp))
    sheet = _sheet(book, title, headings)
    # & begins a code in the foot of a printed page.
    sheet.oddFooter.left.text = _clean(str(stamp)).replace("&", "&&")
    for row in rows:
        sheet.append([_value(sheet, value) for value in row])
    if any(value is not None for value in totals):
        sheet.append([_bold(sheet, value) for value in totals])
    file = tempfile.TemporaryFile()  # noqa: SIM115
    book.save(file)
    file.seek(0)
    return file


def _sheet(book: Workbook, title: str, headings: Sequence[str]) -> Any:
    sheet = book.create_sheet(_NOT_IN_A_TITLE.sub(" ", _clean(title))[:31].strip(" '"))
    sheet.freeze_panes = "A2"
    sheet.print_title_rows = "1:1"
    sheet.page_setup.orientation = "landscape"
    for number, heading in enumerate(headings, start=1):
        width = max(_NARROW, len(heading) + 3)
        sheet.column_dimensions[get_column_letter(number)].width = width
    sheet.append([_bold(sheet, heading) for heading in headings])
    return sheet


def _value(sheet: Any, value: Value) -> Any:
    """Figures and dates as they are, words as words, whatever they begin with.

    A text is written as text, never as a formula; one that would turn into a formula
    when its cell is edited carries the format's own quote mark (quotePrefix), which
    leaves the text itself as it is in the book.
    """
    if not isinstance(value, str):
        return value
    text = _clean(value)
    cell = WriteOnlyCell(sheet, text)
    cell.data_type = "s"
    if text.startswith(_STARTS_A_FORMULA):
        cell.quotePrefix = True
    return cell


def _bold(sheet: Any, value: Value) -> Any:
    cell = _value(sheet, value)
    if not isinstance(cell, Cell):
        cell = WriteOnlyCell(sheet, cell)
    cell.font = Font(bold=True)
    return cell


def _clean(text: str) -> str:
    return _UNWRITABLE.sub("", text)


NOTES = "How to fill it in"
RULES = (
    ("One row", "is one lot of goods, one thing not stocked, or one extra cost."),
    ("One invoice", "may have many rows; those without an invoice no. belong above."),
    (
        "Several lots",
        "of one line of the invoice are several rows with the same mark under Line: "
        "two sacks of line 3 have 3 in both rows, and the price in one of them.",
    ),
    (
        "Columns",
        "may stand in any order and be left out. One headed Note is not read.",
    ),
    (
        "All or nothing:",
        "while one cell is wrong nothing is written, and every fault is named.",
    ),
)
_AS_TEXT = ("number", "item", "amount", "line", "supplier_lot", "code", "text")


def _wrapped(sheet: Any, text: str) -> Any:
    cell = _value(sheet, text)
    cell.alignment = Alignment(wrap_text=True, vertical="top")
    return cell
