"""Published tables of the labels room, read from the repository."""

import csv
from functools import cache
from pathlib import Path

from labels.domain.name_book import NameBook

TABLES = Path(__file__).resolve().parents[2] / "fixtures" / "reference"


@cache
def name_book() -> NameBook:
    """The names and fragrance allergens of ``fixtures/reference``, read once."""
    return NameBook.from_rows(
        rows_of("inci_names"), rows_of("allergens"), rows_of("allergen_members")
    )


def rows_of(table: str) -> list[dict[str, str]]:
    """A published table, row by row."""
    path = TABLES / f"{table}.csv"
    with path.open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))
