"""The empty sheet of purchases."""

import io

from openpyxl import Workbook
from openpyxl.utils import get_column_letter

from production.buying.domain.purchase_headings import HEADINGS
from production.papers.domain.sheets import DAYS
from production.papers.files.sheets_in import SHEET
from production.papers.files.sheets_out import (
    _AS_TEXT,
    _NARROW,
    NOTES,
    RULES,
    _bold,
    _wrapped,
)


def purchase_template() -> bytes:
    """The sheet to fill in, its second sheet saying how."""
    book = Workbook(write_only=True)
    book.properties.creator = "Kettlebook"
    book.properties.title = SHEET
    sheet = book.create_sheet(SHEET)
    sheet.freeze_panes = "A2"
    for number, heading in enumerate(HEADINGS, start=1):
        column = sheet.column_dimensions[get_column_letter(number)]
        column.width = max(_NARROW, len(heading.words) + 3)
        # So that no program reads a date or a sum into a lot's mark.
        if heading.field in _AS_TEXT:
            column.number_format = "@"
        elif heading.field in DAYS:
            column.number_format = "yyyy-mm-dd"
    sheet.append([_bold(sheet, heading.words) for heading in HEADINGS])
    _write_notes(book)
    file = io.BytesIO()
    book.save(file)
    return file.getvalue()


def _write_notes(book: Workbook) -> None:
    notes = book.create_sheet(NOTES)
    for letter, width in zip("ABC", (20, 70, 50), strict=True):
        notes.column_dimensions[letter].width = width
    for words, says in RULES:
        notes.append([_bold(notes, words), _wrapped(notes, says)])
    notes.append([])
    notes.append([_bold(notes, text) for text in ("Heading", "What", "Also read")])
    for heading in HEADINGS:
        also = _wrapped(notes, ", ".join(heading.also))
        notes.append([heading.words, _wrapped(notes, heading.says), also])
