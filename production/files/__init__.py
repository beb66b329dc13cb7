"""Bytes in and out: published tables, sheets that come and sheets that go."""

from production.files.reference import reference_table
from production.files.sheets_in import MOST_BYTES, digest, read_sheet
from production.files.sheets_out import (
    Stamp,
    purchase_template,
    write_sheet,
)
from production.files.sheets_unseen import left_unseen
from production.files.uploads import keep, kept

__all__ = [
    "MOST_BYTES",
    "Stamp",
    "digest",
    "keep",
    "kept",
    "left_unseen",
    "purchase_template",
    "read_sheet",
    "reference_table",
    "write_sheet",
]
