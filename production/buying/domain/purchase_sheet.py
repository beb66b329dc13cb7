"""A sheet of purchases: which column is which, and what stands in a cell."""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from difflib import get_close_matches
from string import ascii_uppercase

from production.buying.domain.purchase_columns import (
    FIELDS,
    FIGURES,
    MONEY,
    Column,
    bare,
    column_of,
)
from production.buying.domain.purchase_headings import HEADINGS
from production.papers.domain.sheets import DAYS, Cell, Line
from production.quantities.domain.density import GRAMS_PER_ML
from production.quantities.domain.number_text import (
    has_comma_of_decimals,
    one_reading,
    refuse_point_beside_commas,
)
from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused
from production.quantities.domain.units import names_a_unit, read_measures, unit_of
from production.record.domain.odd_dates import refuse_far

WORDS: Mapping[str, str] = {heading.field: heading.words for heading in HEADINGS}
_ASIDE = {"note", "notes", "remark", "remarks", "comment", "comments"}

_HEADS_WITHIN = 20
_ENOUGH = 3


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
    head, width, titles = _head(rest)
    heads, faults, aside = _columns(head, titles)
    columns = {column.field: place for place, column in heads.items()}
    rows, strays = list[Row](), dict[int, Fault]()
    lines = list(rest)
    commas = any(map(has_comma_of_decimals, _figures(lines, heads)))
    for number, cells in lines:
        words = dict[str, str]()
        for place, cell in enumerate(cells, start=1):
            column = heads.get(place)
            if place > width and cell.value == "":
                strays.setdefault(place, Fault(number, place, _TOO_MANY))
            if cell.empty or (column is None and place in titles):
                continue
            if column is None:
                strays.setdefault(place, Fault(number, place, _NO_HEADING))
                continue
            try:
                if commas and (text := _figure(cell, column)):
                    refuse_point_beside_commas(text)
                words[column.field] = in_words(cell, column)
            except Refused as fault:
                faults.append(Fault(number, place, str(fault)))
                # Not empty, so that nobody asks for it a second time.
                words[column.field] = ""
        try:
            _take_unit(words, heads.get(columns.get("amount", 0)))
        except Refused as fault:
            faults.append(Fault(number, columns["unit"], str(fault)))
        if words:
            rows.append(Row(number, words))
    if not rows:
        raise Refused(f"There is nothing below the headings in row {head}.")
    return Sheet(columns, tuple(_carried(rows)), (*faults, *strays.values()), aside)


_NO_HEADING = "Something stands in a column without a heading. Head it, or clear it."
_TOO_MANY = (
    "This row has more cells than there are headings. Where a comma stands inside a "
    "figure, put the figure in quotes."
)
_A_DATE = (
    "The spreadsheet has made a date of this. Show the cell as text, and write it once "
    "more."
)


def _figure(cell: Cell, column: Column | None) -> str:
    """The text of a figure that somebody typed; "" for a number, and for words."""
    typed = isinstance(cell.value, str) and column and column.field in FIGURES
    return str(cell.value) if typed else ""


def _figures(lines: Iterable[Line], heads: Mapping[int, Column]) -> Iterator[str]:
    for _, cells in lines:
        for place, cell in enumerate(cells, start=1):
            yield _figure(cell, heads.get(place))


def _take_unit(words: dict[str, str], amount: Column | None) -> None:
    """The unit of the row goes behind its bare amount; refused where another stands."""
    unit = words.pop("unit", "")
    if not unit:
        return
    if (name := unit_of(unit)) is None:
        raise Refused(f"{unit} is not a unit known here: write g, kg, lb, oz or mL.")
    if not (text := words.get("amount", "")):
        raise Refused(f"{unit} stands here without an amount. Write one, or clear it.")
    if amount and amount.unit and unit_of(amount.unit) != name:
        raise Refused(f"The amounts are headed {amount.unit}, not {unit}. Keep one.")
    if not names_a_unit(text):
        words["amount"] = f"{text} {unit}"
        return
    try:
        own = {unit_of(words) for _, words in read_measures(text.lower(), text)}
    except Refused:
        return  # the amount itself is refused
    if own != {name}:
        raise Refused(f"The amount is {text}, and this says {unit}. Keep one of them.")


def _head(rest: Iterator[Line]) -> tuple[int, int, dict[int, str]]:
    """The first row with enough known headings: its number, width, titles by column."""
    for _, (number, cells) in zip(range(_HEADS_WITHIN), rest, strict=False):
        titles = {
            column: str(cell.value).strip()
            for column, cell in enumerate(cells, start=1)
            if not cell.empty
        }
        if sum(map(_is_known, titles.values())) >= _ENOUGH:
            return number, len(cells), titles
    wanted = ", ".join(WORDS[f] for f in ("on", "supplier", "number", "item", "amount"))
    raise Refused(f"No row holds the headings. Head the columns: {wanted}.")


def _is_known(title: str) -> bool:
    try:
        return column_of(title) is not None
    except Refused:
        return True


def _columns(
    head: int, titles: Mapping[int, str]
) -> tuple[dict[int, Column], list[Fault], tuple[str, ...]]:
    heads, faults, aside = dict[int, Column](), list[Fault](), list[str]()
    places = dict[str, int]()
    for place, title in titles.items():
        if bare(title) in _ASIDE:
            aside.append(title)
            continue
        try:
            column = _known(title)
            if column.field in places:
                first = column_letters(places[column.field])
                raise Refused(
                    f"{title} means the same as column {first}. Keep one of the two."
                )
        except Refused as fault:
            faults.append(Fault(head, place, str(fault)))
        else:
            heads[place], places[column.field] = column, place
    return heads, faults, tuple(aside)


def _known(title: str) -> Column:
    column = column_of(title)
    if column is None:
        near = get_close_matches(bare(title), FIELDS, n=1)
        guess = f"Is {WORDS[FIELDS[near[0]]]} meant? " if near else ""
        raise Refused(
            f"{title} is not a heading known here. {guess}Head it Note to leave the "
            "column aside."
        )
    return column


def in_words(cell: Cell, column: Column) -> str:
    """What a person would have typed: a share with its sign, a weight with its unit.

    Refused for what shows a fault, and for a date where words stand.
    """
    if cell.fault:
        raise Refused(cell.fault)
    value, field = cell.value, column.field
    if isinstance(value, date):
        if field not in DAYS:
            raise Refused(_A_DATE)
        return value.isoformat()
    if not isinstance(value, Decimal):
        return column.with_unit((value or "").strip())
    if cell.percent:
        return f"{plain(value * 100)} %"
    if field not in FIGURES:
        sign = "-" if value < 0 else ""
        figures = sign + plain(abs(value)).zfill(cell.digits)
        return f"{cell.before}{figures}{cell.after}".strip()
    after = cell.after.strip()
    if field == "density" and after.casefold() in GRAMS_PER_ML:
        after = ""
    # A program's number has one reading, whatever its figures look like.
    figure = one_reading(value) if field in MONEY else plain(value)
    return column.with_unit(f"{cell.before.strip()} {figure} {after}".strip())


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
