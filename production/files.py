"""Bytes in and out: the published tables that ship in fixtures/."""

import csv
import hashlib
from pathlib import Path

REFERENCE = Path(__file__).resolve().parent.parent / "fixtures" / "reference"


def reference_table(name: str) -> tuple[str, list[dict[str, str]]]:
    """Read one published table: its digest and its rows as text."""
    raw = (REFERENCE / f"{name}.csv").read_bytes()
    rows = list(csv.DictReader(raw.decode().splitlines()))
    return hashlib.sha256(raw).hexdigest(), rows
