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
        _rows("inci_names"), _rows("allergens"), _rows("allergen_members")
    )


def _rows(table: str) -> list[dict[str, str]]:
    path = TABLES / f"{table}.csv"
    with path.open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))
