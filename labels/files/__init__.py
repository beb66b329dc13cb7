"""Bytes in and out: the label's font, PDF, pictures."""

from labels.files.fonts import faces
from labels.files.paper import Run, label_pdf, runs_pdf, sheet_pdf
from labels.files.picture import picture
from labels.files.ruler import ruler_pdf

__all__ = ["Run", "faces", "label_pdf", "picture", "ruler_pdf", "runs_pdf", "sheet_pdf"]
