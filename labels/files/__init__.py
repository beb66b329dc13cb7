"""Bytes in and out: the label's font, PDF, pictures."""

from labels.files.fonts import faces
from labels.files.paper import label_pdf, sheet_pdf
from labels.files.picture import picture

__all__ = ["faces", "label_pdf", "picture", "sheet_pdf"]
