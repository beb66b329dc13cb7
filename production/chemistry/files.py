"""The published tables that ship in fixtures/."""

import csv
import hashlib
from pathlib import Path

FIXTURES = Path(__file__).resolve().parent.parent.parent / "fixtures"
REFERENCE = FIXTURES / "reference"


def reference_table(name: str) -> tuple[str, list[dict[str, str]]]:
    """Read one published table: its digest and its rows as text."""
    raw = (REFERENCE / f"{name}.csv").read_bytes()
    rows = list(csv.DictReader(raw.decode().splitlines()))
    return hashlib.sha256(raw).hexdigest(), rows
