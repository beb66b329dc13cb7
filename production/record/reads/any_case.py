"""Codes in any case, and numbers of papers in any case and with any spaces.

SQLite has the capitals of ASCII alone: what is looked for is spelled in those.
"""

from collections.abc import Iterable
from string import ascii_lowercase, ascii_uppercase
from typing import Any

from django.db.models import QuerySet, Value
from django.db.models.functions import Replace, Upper

from production.quantities.domain.invisible import NO_BREAK

ASCII_UPPER = str.maketrans(ascii_lowercase, ascii_uppercase)


def spellings(said: Iterable[str]) -> list[str]:
    """Each in the database's capitals, whatever the case of its other letters."""
    cases = (str, str.upper, str.lower, str.title, str.capitalize)
    found = {case(one).translate(ASCII_UPPER) for one in said for case in cases}
    return sorted(found - {""})


def called(rows: QuerySet[Any], column: str, spelled: list[str]) -> QuerySet[Any]:
    """The rows that have one of these ``spellings`` in a column."""
    return rows.alias(called=Upper(column)).filter(called__in=spelled)


def same_number(number: str) -> str:
    """What is the same of two numbers that differ in case or spaces only."""
    return "".join(number.split()).casefold()


def numbered(rows: QuerySet[Any], numbers: Iterable[str]) -> QuerySet[Any]:
    """The papers that bear one of these numbers, or the same in other words."""
    text: Any = "number"
    for space in (" ", NO_BREAK):
        text = Replace(text, Value(space), Value(""))
    spelled = spellings("".join(number.split()) for number in numbers)
    return rows.alias(called=Upper(text)).filter(called__in=spelled)
