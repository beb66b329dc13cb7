"""Tables with formulas that a reader can follow, for a spreadsheet program.

Figures are exact in their cells and shown to the cent; words are always words.
"""

import io
import re
from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from openpyxl import Workbook
from openpyxl.styles import Alignment, Font
from openpyxl.utils import get_column_letter

from costing.domain.rollup import NANO

MONEY, AMOUNT = "#,##0.00", "#,##0.###"
_STARTS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r")
_UNWRITABLE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")


class Formula(str):
    """A formula of ours; any other text is a text, whatever it begins with."""

    __slots__ = ()


class Plain(Decimal):
    """A figure that is no money: grams, pieces, hours."""


Value = str | Formula | Decimal | int | date | None


def money_of(nano: int | None) -> Decimal | None:
    """Nano as money, exactly; an unknown one stays empty."""
    return None if nano is None else Decimal(nano) / NANO


class Table:
    """One sheet: a title, headings, rows, and a foot of sums."""

    def __init__(self, book: Workbook, title: str, says: str) -> None:
        self.sheet = book.create_sheet(title)
        self.title = title
        self.row = 0
        self.write(title, bold=True)
        self.write(says)
        self.write()

    def write(self, *values: Value, bold: bool = False) -> int:
        """One row; says which it is."""
        self.row += 1
        for column, value in enumerate(values, start=1):
            if value is not None:
                self._put(self.sheet.cell(self.row, column), value, bold)
        return self.row

    def headings(self, *words: str) -> None:
        self.write(*words, bold=True)
        self.sheet.freeze_panes = self.sheet.freeze_panes or f"A{self.row + 1}"
        self.first = self.row + 1
        for number, word in enumerate(words, start=1):
            width = 30 if word in ("what", "item", "supplier", "to whom") else 14
            column = self.sheet.column_dimensions[get_column_letter(number)]
            column.width = max(width, len(word) + 2)

    def foot(self, columns: Sequence[str], words: str = "in all") -> int:
        """Sums of these columns, by letter, under the rows since the headings."""
        last = self.row
        row = self.write(words, bold=True)
        for letter in columns:
            # An empty table adds up to nothing.
            told = f"=SUM({letter}{self.first}:{letter}{max(last, self.first)})"
            cell = self.sheet[f"{letter}{row}"]
            self._put(cell, Formula(told if last >= self.first else "=0"), True)
        return row

    def _put(self, cell: Any, value: Value, bold: bool) -> None:
        if isinstance(value, Formula):
            cell.value = str(value)
            cell.number_format = MONEY
        elif isinstance(value, str):
            cell.value = _UNWRITABLE.sub("", value)
            cell.data_type = "s"
            if value.startswith(_STARTS_A_FORMULA):
                cell.quotePrefix = True
        elif isinstance(value, Plain):
            cell.value = Decimal(value)
            cell.number_format = AMOUNT
        elif isinstance(value, Decimal):
            cell.value = value
            cell.number_format = MONEY
        else:
            cell.value = value
            if isinstance(value, date):
                cell.number_format = "yyyy-mm-dd"
        if bold:
            cell.font = Font(bold=True)

    def wrap(self, letter: str, width: int) -> None:
        self.sheet.column_dimensions[letter].width = width
        for cell in self.sheet[letter]:
            cell.alignment = Alignment(wrap_text=True, vertical="top")


def bytes_of(book: Workbook) -> bytes:
    file = io.BytesIO()
    book.save(file)
    return file.getvalue()
