"""A published table as rows."""

import csv
from pathlib import Path

TABLES = Path(__file__).resolve().parents[2] / "fixtures" / "reference"


def rows(table: str) -> list[dict[str, str]]:
    """The rows of ``fixtures/reference/<table>.csv`` by the words of their heading."""
    path = TABLES / f"{table}.csv"
    with path.open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))
