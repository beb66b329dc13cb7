"""Bytes in and out: published tables, the label's font, PDF."""

from labels.files.fonts import faces
from labels.files.names import name_book
from labels.files.paper import label_pdf, sheet_pdf
from labels.files.picture import picture
from labels.files.tables import TABLES

__all__ = ["TABLES", "faces", "label_pdf", "name_book", "picture", "sheet_pdf"]
