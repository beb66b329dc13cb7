"""Bytes in and out: published tables, the label's font, PDF."""

from labels.files.fonts import faces
from labels.files.names import TABLES, name_book
from labels.files.paper import Run, label_pdf, runs_pdf, sheet_pdf
from labels.files.picture import picture

__all__ = [
    "TABLES",
    "Run",
    "faces",
    "label_pdf",
    "name_book",
    "picture",
    "runs_pdf",
    "sheet_pdf",
]
