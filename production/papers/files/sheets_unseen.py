"""What a workbook has besides the rows that are seen: other sheets, hidden rows."""

import io
import re
import zipfile
from collections.abc import Iterator, Sequence
from itertools import islice
from typing import Any

from openpyxl import load_workbook

from production.papers.files.sheets_in import MOST_DRAWN, is_workbook, sheet_read

_ROW = re.compile(rb"<(?:\w+:)?row\s([^>]*)>")
_NUMBER = re.compile(rb"\br=\"([0-9]{1,7})\"")
_HIDDEN = re.compile(rb"\bhidden=\"(?:1|true)\"")
_MOST_NAMED = 10


def left_unseen(raw: bytes) -> list[str]:
    """A sentence on sheets that are not read, and one on hidden rows that are.

    For a file that ``read_sheet`` has taken.
    """
    if not is_workbook(raw):
        return []
    book = load_workbook(io.BytesIO(raw), read_only=True, data_only=True)
    try:
        chosen = sheet_read(book)
        others = [
            sheet.title
            for sheet in book.worksheets
            if sheet is not chosen and any(_filled(sheet))
        ]
        hidden = _hidden(raw, chosen)
        rows = [
            str(number)
            for number, filled in enumerate(_filled(chosen), start=1)
            if filled and number in hidden
        ]
    finally:
        book.close()
    told = list[str]()
    if others:
        one = len(others) == 1
        verbs = ("holds", "is") if one else ("hold", "are")
        which = f"The worksheet{'' if one else 's'} {_listed(others)}"
        told.append(f"{which} {verbs[0]} rows too, and {verbs[1]} not read.")
    if rows:
        verb, plural = ("is", "") if len(rows) == 1 else ("are", "s")
        which = f"Row{plural} {_listed(rows)} {verb} hidden in the sheet"
        told.append(f"{which}, and {verb} read all the same.")
    return told


def _filled(sheet: Any) -> Iterator[bool]:
    """Row by row, whether anything stands in it."""
    sheet.reset_dimensions()
    for row in islice(sheet.iter_rows(values_only=True), MOST_DRAWN):
        yield any(value is not None and str(value).strip() for value in row)


def _hidden(raw: bytes, sheet: Any) -> set[int]:
    """The numbers of hidden rows, as the format writes them (ECMA-376, 18.3.1.73)."""
    with zipfile.ZipFile(io.BytesIO(raw)) as parts:
        content = parts.read(sheet._worksheet_path)
    tags = (found[1] for found in _ROW.finditer(content))
    numbers = (_NUMBER.search(tag) for tag in tags if _HIDDEN.search(tag))
    return {int(number[1]) for number in numbers if number}


def _listed(names: Sequence[str]) -> str:
    more = len(names) - _MOST_NAMED
    return ", ".join(names[:_MOST_NAMED]) + (f" and {more} more" if more > 0 else "")
