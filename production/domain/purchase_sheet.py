"""A sheet of purchases: which column is which, and what stands in a cell."""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from difflib import get_close_matches
from string import ascii_uppercase

from production.domain.numbers import plain
from production.domain.odd_dates import refuse_far
from production.domain.purchase_headings import HEADINGS
from production.domain.refusal import Refused

WORDS: Mapping[str, str] = {heading.field: heading.words for heading in HEADINGS}
DAYS = ("on", "ordered", "invoiced", "expires")
# Where the cell's format may carry the unit: 5 shown as "5 kg".
MEASURED = ("amount", "shipping_weight")
_ASIDE = {"note", "notes", "remark", "remarks", "comment", "comments"}

_HEADS_WITHIN = 20
_ENOUGH = 3


@dataclass(frozen=True, slots=True)
class Cell:
    """What stands in a cell, and what its number format writes around it."""

    value: str | Decimal | date | None = None
    unit: str = ""
    percent: bool = False
    fault: str = ""

    @property
    def empty(self) -> bool:
        blank = self.value is None or not str(self.value).strip()
        return blank and not self.fault


Line = tuple[int, Sequence[Cell]]


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong in one cell, or in a whole row where ``column`` is None."""

    row: int
    column: int | None
    says: str

    @property
    def where(self) -> str:
        if self.column is None:
            return f"row {self.row}"
        return f"{column_letters(self.column)}{self.row}"

    def __str__(self) -> str:
        return f"{self.where}: {self.says}"


@dataclass(frozen=True, slots=True)
class Row:
    """One row: its number in the sheet, and the words of each field written in."""

    number: int
    words: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Sheet:
    """Rows in their order; ``columns`` counts from 1; ``aside`` was not read."""

    columns: Mapping[str, int]
    rows: tuple[Row, ...]
    faults: tuple[Fault, ...] = ()
    aside: tuple[str, ...] = ()

    def fault(self, row: int, field: str | None, says: str) -> Fault:
        return Fault(row, self.columns.get(field) if field else None, says)


def column_letters(number: int) -> str:
    """The name of a column counted from 1: ``A``, ``Z``, ``AA``."""
    letters = ""
    while number:
        number, rest = divmod(number - 1, 26)
        letters = ascii_uppercase[rest] + letters
    return letters


def lay_out(lines: Iterable[Line]) -> Sheet:
    """Find the headings, then read every row below them into fields.

    Refused where no row holds enough known headings; all else is a list of faults.
    """
    rest = iter(lines)
    head, titles = _head(rest)
    columns, faults, aside = _columns(head, titles)
    by_column = {column: field for field, column in columns.items()}
    rows, strays = list[Row](), dict[int, Fault]()
    for number, cells in rest:
        words = dict[str, str]()
        for column, cell in enumerate(cells, start=1):
            field = by_column.get(column)
            if cell.empty or (field is None and column in titles):
                continue
            if field is None:
                strays.setdefault(column, Fault(number, column, _NO_HEADING))
            elif cell.fault:
                faults.append(Fault(number, column, cell.fault))
                # Not empty, so that nobody asks for it a second time.
                words[field] = ""
            else:
                words[field] = in_words(cell, field)
        if words:
            rows.append(Row(number, words))
    if not rows:
        raise Refused(f"There is nothing below the headings in row {head}.")
    return Sheet(columns, tuple(_carried(rows)), (*faults, *strays.values()), aside)


_NO_HEADING = "Something stands in a column without a heading. Head it, or clear it."


def _head(rest: Iterator[Line]) -> tuple[int, dict[int, str]]:
    """The first row with enough known headings: its number, its titles by column."""
    for _, (number, cells) in zip(range(_HEADS_WITHIN), rest, strict=False):
        titles = {
            column: str(cell.value).strip()
            for column, cell in enumerate(cells, start=1)
            if not cell.empty
        }
        if sum(bare(title) in _FIELDS for title in titles.values()) >= _ENOUGH:
            return number, titles
    wanted = ", ".join(WORDS[f] for f in ("on", "supplier", "number", "item", "amount"))
    raise Refused(f"No row holds the headings. Head the columns: {wanted}.")


def _columns(
    head: int, titles: Mapping[int, str]
) -> tuple[dict[str, int], list[Fault], tuple[str, ...]]:
    columns, faults, aside = dict[str, int](), list[Fault](), list[str]()
    for column, title in titles.items():
        field = _FIELDS.get(bare(title))
        if bare(title) in _ASIDE:
            aside.append(title)
        elif field is None:
            near = get_close_matches(bare(title), _FIELDS, n=1)
            guess = f"Is {WORDS[_FIELDS[near[0]]]} meant? " if near else ""
            says = f"{title} is not a heading known here. {guess}Head it Note to "
            faults.append(Fault(head, column, says + "leave the column aside."))
        elif field in columns:
            first = column_letters(columns[field])
            says = f"{title} means the same as column {first}. Keep one of the two."
            faults.append(Fault(head, column, says))
        else:
            columns[field] = column
    return columns, faults, tuple(aside)


def bare(title: str) -> str:
    """A heading without case, spaces and stops; what stands in brackets is a hint."""
    return re.sub(r"\(.*?\)|[\W_]", "", title.casefold())


_FIELDS: Mapping[str, str] = {
    bare(words): heading.field
    for heading in HEADINGS
    for words in (heading.words, *heading.also)
}


def in_words(cell: Cell, field: str) -> str:
    """What a person would have typed: a share with its sign, a weight with its unit."""
    value = cell.value
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Decimal):
        if cell.percent:
            return f"{plain(value * 100)} %"
        unit = cell.unit if field in MEASURED else ""
        return f"{plain(value)} {unit}".strip()
    return (value or "").strip()


def _carried(rows: Iterable[Row]) -> Iterator[Row]:
    """A row without an invoice number belongs to the invoice above."""
    number = None
    for row in rows:
        number = row.words.get("number", number)
        if number is not None and "number" not in row.words:
            row = replace(row, words={**row.words, "number": number})
        yield row


_SLASHED = re.compile(r"([0-9]{1,2})[./ -]([0-9]{1,2})[./ -]([0-9]{4})")


def read_day(text: str) -> date:
    """A day as the standard writes it (ISO 8601), and no other way.

    Refused with the readings that 03/04/2026 may have, since the book cannot tell.
    """
    if re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text):
        try:
            day = date.fromisoformat(text)
        except ValueError:
            raise Refused(f"{text} is not a day of the calendar.") from None
        refuse_far(day)
        return day
    if re.fullmatch(r"[0-9.]+", text) and text.count(".") < 2:
        raise Refused(
            f"{text} is a bare number: show the cell as a date, or write a day like "
            "2026-01-31."
        )
    readings = _readings(text)
    if len(readings) == 2:
        raise Refused(
            f"{text} can be read in two ways. Write {readings[0]} or {readings[1]}."
        )
    such_as = readings[0] if readings else "2026-01-31"
    raise Refused(f"{text} is not written as a day. Write it like {such_as}.")


def _readings(text: str) -> list[str]:
    """The days that a date with its year last may mean, earliest first."""
    if not (parts := _SLASHED.fullmatch(text)):
        return []
    first, second, year = (int(part) for part in parts.groups())
    found = set[str]()
    for month, day in ((first, second), (second, first)):
        try:
            found.add(date(year, month, day).isoformat())
        except ValueError:
            continue
    return sorted(found)
