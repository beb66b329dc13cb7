"""A statement of value on paper: black on white, from the text that was frozen."""

from functools import cache

from django.template.loader import render_to_string

from costing.domain.statement import Statement, digest_of
from costing.domain.statement_words import paragraphs, to_the_cent
from production.papers.files.pdf import print_pdf

SHORT = 16


def statement_pdf(statement: Statement, text: str) -> bytes:
    """The same statement and text give the same bytes on the same press."""
    words = {
        "statement": statement,
        "paragraphs": paragraphs(statement),
        "stock": [(row, to_the_cent(row.value)) for row in statement.stock],
        "in_progress": [(row, to_the_cent(row.value)) for row in statement.in_progress],
        "digest": digest_of(text)[:SHORT],
        "paper": {"Letter": "letter"}.get(statement.paper, "A4"),
    }
    html = render_to_string("costing/print/statement.html", words)
    return print_pdf(html, _style())


@cache
def _style() -> str:
    return render_to_string("costing/print/statement.css")
