"""Sheets that come in, as xlsx or csv: each row with its number and its cells."""

import csv
import hashlib
import io
import re
import zipfile
from collections.abc import Iterable, Iterator
from datetime import date, datetime
from decimal import Decimal
from itertools import islice, zip_longest
from typing import Any

from openpyxl import load_workbook

from production.papers.domain.sheets import Cell, Line
from production.quantities.domain.refusal import Refused

MOST_BYTES = 5 * 1024 * 1024
MOST_ROWS = 5_000
MOST_COLUMNS = 60
# What a file may grow to when it is unpacked: 5,000 full rows stay far below.
_MOST_UNPACKED = 60 * 1024 * 1024
_MOST_PARTS = 1_000
# 5,000 rows of 60 cells, and the tags of such cells: what is above is only drawn.
MOST_CELLS = MOST_ROWS * MOST_COLUMNS
_MOST_TAGS = 5 * MOST_CELLS
_CELL = re.compile(rb"<(?:\w+:)?c[\s/>]")
# The format's own last row: a file may say that it has more.
_LAST_ROW = 1_048_576
# Rows with a frame or a colour but nothing in them are read so far down.
MOST_DRAWN = 50_000
# A number in a spreadsheet has 15 digits; what follows is dust of its binary form.
_DIGITS = ".15g"

SHEET = "Purchases"
_NOT_A_SHEET = "This is neither an xlsx file nor csv text. Save it as one of them."
_NO_RESULT = (
    "This cell holds a formula whose result is not in the file. Open the file in a "
    "spreadsheet program, save it there, and send it again."
)


_TOO_MANY_CELLS = (
    f"The sheet has more than {MOST_CELLS:,} cells, most of them empty. Copy the rows "
    "that are filled into a new sheet, and send that."
)


def digest(raw: bytes) -> str:
    return hashlib.sha256(raw).hexdigest()


def read_sheet(raw: bytes) -> list[Line]:
    """Every row that something stands in; refused where the file cannot be read."""
    if len(raw) > MOST_BYTES:
        raise Refused("The file is larger than 5 MB. Split it into several.")
    filled = list(_xlsx(raw) if is_workbook(raw) else _csv(raw))
    if not filled:
        raise Refused("The sheet is empty.")
    return filled


def _no_more(lines: Iterable[Line]) -> Iterator[Line]:
    """Let so many filled rows pass, the headings too."""
    count = 0
    for number, cells in lines:
        if all(cell.empty for cell in cells):
            continue
        count += 1
        if count > MOST_ROWS + 1:
            raise Refused(
                f"The sheet has more than {MOST_ROWS:,} rows. Split it into several."
            )
        yield number, cells


def _csv(raw: bytes) -> Iterable[Line]:
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise Refused(f"{_NOT_A_SHEET} A csv has to be saved as UTF-8 text.") from None
    if "\0" in text:
        raise Refused(_NOT_A_SHEET)
    head = next((line for line in text.splitlines() if line.strip()), "")
    mark = max(",;\t", key=head.count)
    rows = csv.reader(io.StringIO(text, newline=""), delimiter=mark)
    lines = (
        # Only a comma may be part of a figure: then an empty cell tells of a slip.
        (number, [Cell(v if mark == "," else v or None) for v in row[:MOST_COLUMNS]])
        for number, row in enumerate(rows, start=1)
    )
    try:
        return list(_no_more(lines))
    except csv.Error as fault:
        raise Refused(f"{_NOT_A_SHEET} ({fault})") from None


def _xlsx(raw: bytes) -> Iterable[Line]:
    has_formulas = _unpacks_safely(raw)
    try:
        formulas = _rows(raw, data_only=False) if has_formulas else ()
        pairs = zip_longest(_rows(raw, data_only=True), formulas, fillvalue=())
        # A file may leave out rows by the million: those cost nothing here.
        written = (pair for pair in enumerate(pairs, start=1) if pair[1][0])
        lines = (
            (number, [_cell(*both) for both in zip_longest(row, behind)])
            for number, (row, behind) in islice(written, MOST_DRAWN)
        )
        return list(_no_more(lines))
    except Refused:
        raise
    # A stranger's file may break its reader in any way; it is the file's fault.
    except Exception:
        raise Refused(
            "This xlsx file cannot be read. Open it in a spreadsheet program and save "
            "it again."
        ) from None


def _unpacks_safely(raw: bytes) -> bool:
    """Refuse what would flood the memory; say whether there is any formula.

    The sizes stand in the archive's list, and its reader stops at them.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as parts:
            listed = parts.infolist()
            size = sum(part.file_size for part in listed)
            if len(listed) > _MOST_PARTS or size > _MOST_UNPACKED:
                raise Refused("The file unpacks to more than a sheet can hold.")
            found, tags = False, 0
            for part in listed:
                content = parts.read(part)
                tags += content.count(b"<")
                if tags > _MOST_TAGS or _most_cells(part.filename, content):
                    raise Refused(_TOO_MANY_CELLS)
                # The format allows no such declaration (ECMA-376, part 2; from memory).
                if part.filename.endswith((".xml", ".rels")) and (
                    b"<!DOCTYPE" in content or b"<!ENTITY" in content
                ):
                    raise Refused(_NOT_A_SHEET)
                sheet = part.filename.startswith("xl/worksheets/")
                found = found or (sheet and b"<f" in content)
            return found
    except Refused:
        raise
    except Exception:
        raise Refused(f"{_NOT_A_SHEET} The archive is damaged or locked.") from None


def _most_cells(name: str, content: bytes) -> bool:
    """Whether a sheet has more cells than can be read: counted before any is built."""
    if not name.startswith("xl/worksheets/"):
        return False
    return sum(1 for _ in islice(_CELL.finditer(content), MOST_CELLS + 1)) > MOST_CELLS


def is_workbook(raw: bytes) -> bool:
    return raw.startswith(b"PK\x03\x04")


def sheet_read(book: Any) -> Any:
    """The first worksheet, or the one that has the template's name."""
    names = [sheet.title for sheet in book.worksheets]
    return book.worksheets[names.index(SHEET) if SHEET in names else 0]


def _rows(raw: bytes, *, data_only: bool) -> Iterator[tuple[Any, ...]]:
    """The cells of the sheet that is read."""
    book = load_workbook(io.BytesIO(raw), read_only=True, data_only=data_only)
    try:
        sheet = sheet_read(book)
        # What a file says about its own size is not always so.
        sheet.reset_dimensions()
        for row in islice(sheet.iter_rows(), _LAST_ROW):
            yield row[:MOST_COLUMNS]
    finally:
        book.close()


def _cell(cell: Any, behind: Any) -> Cell:
    """A plain value; ``behind`` is the same cell with its formula, if there are any."""
    value = cell.value if cell is not None else None
    if value is None:
        # An empty text is a result, too.
        lost = getattr(behind, "value", None) is not None
        if lost and getattr(cell, "data_type", "n") != "str":
            return Cell(fault=_NO_RESULT)
        return Cell()
    if cell.data_type == "e":
        return Cell(fault=f"This cell shows {value}. Mend its formula.")
    if isinstance(value, datetime):
        return Cell(value.date())
    if isinstance(value, bool):
        return Cell(str(value).upper())
    if isinstance(value, int | float):
        return _shown(Decimal(format(value, _DIGITS)), cell.number_format or "")
    return Cell(value if isinstance(value, date) else str(value))


# The parts of a number format (ECMA-376, part 1, 18.8.31; from memory): a currency, a
# colour or condition, words in quotes, one sign behind a stroke, room for a sign, and
# the rest sign by sign.
_PART = re.compile(
    r"\[\$(?P<money>[^\]-]*)(?:-(?P<place>[^\]]*))?\]|\[[^\]]*\]|\"(?P<quoted>[^\"]*)\"|\\(?P<single>.)"
    r"|[_*].|(?P<figures>[0#?.,/ ]*[0#?][0#?.,/]*(?:E[-+][0#?]+)?)|(?P<other>.)"
)
# Whose dollar a sign is, by the place beside it (language identifiers of Windows, and
# ISO 3166 at the end of a tag; from memory).
_DOLLARS: dict[int | str, str] = {
    **{0x409: "$", 0x540A: "$", 0x1009: "CAD", 0xC0C: "CAD", 0xC09: "AUD"},
    **{0x1409: "NZD", 0x4804: "SGD", 0x4809: "SGD", 0xC04: "HKD", 0x3C09: "HKD"},
    **{0x404: "TWD", 0x80A: "MXN", 0x340A: "CLP", 0x240A: "COP", 0x2C0A: "ARS"},
    **{"us": "$", "ca": "CAD", "au": "AUD", "nz": "NZD", "sg": "SGD", "hk": "HKD"},
    **{"tw": "TWD", "mx": "MXN", "cl": "CLP", "co": "COP", "ar": "ARS"},
}
_WHOSE_DOLLAR = (
    "This cell shows the $ of another country. Write the currency beside the figure, "
    "such as 40 CAD."
)
_IN_THOUSANDS = "This cell is shown in thousands. Show it in full."
_BROKEN_UP = "Words stand inside this figure. Write the cell as text."


def _dollar(place: str) -> str:
    """The currency of ``1009`` or ``en-CA``, a bare sign for that of the US, or ""."""
    if re.fullmatch("[0-9A-Fa-f]{3,8}", place):
        # The upper half says which calendar and figures.
        return _DOLLARS.get(int(place, 16) & 0xFFFF, "")
    return _DOLLARS.get(place.rpartition("-")[2].casefold(), "")


def _shown(value: Decimal, number_format: str) -> Cell:
    """A number with what its format writes around it.

    A cell may hold 5 and show ``5 kg``: then 5 kg is what the person sees.
    """
    sections = re.split(r';(?=(?:[^"]*"[^"]*")*[^"]*$)', number_format)
    below = value < 0 and len(sections) > 1
    section = sections[1 if below else 0].replace("General", "0")
    before, figures, after, percent = "", "", "", False
    for part in _PART.finditer(section):
        words = part["money"] or part["quoted"] or part["single"] or ""
        if part["money"] == "$" and part["place"]:
            words = _dollar(part["place"])
            if not words:
                return Cell(fault=_WHOSE_DOLLAR)
        other = part["other"] or ""
        percent = percent or other == "%"
        if part["figures"]:
            if after.strip():
                return Cell(fault=_BROKEN_UP)
            figures, after = figures + part["figures"], ""
        else:
            # The sign of the figure itself is no word.
            words += "" if other in "%+-()@" else other
            before, after = (before, after + words) if figures else (before + words, "")
    if figures.rstrip().endswith(","):
        return Cell(fault=_IN_THOUSANDS)
    digits = figures.partition(".")[0].count("0")
    return Cell(value, before, after, digits, percent)
