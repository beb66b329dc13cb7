"""Statements of value: those that were frozen, and the one of the days since."""

from datetime import date

from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render

from costing.domain.statement_words import paragraphs, to_the_cent
from costing.files.statements import statement_pdf as printed
from costing.reads.statements import closings, kept, open_statement
from production.record.reads.clock import today


def statements(request):
    return render(request, "costing/statements.html", {"rows": closings()})


def statement(request, day):
    found = _kept(day)
    words = {"closed": found.row.closing, "day": day}
    return _statement_page(request, found.statement, **words)


def statement_open(request):
    found = open_statement(today())
    if found is None:
        return redirect("statements")
    return _statement_page(request, found)


def _statement_page(request, found, **words):
    def valued(rows):
        return [(row, to_the_cent(row.value)) for row in rows]

    words |= {"statement": found, "paragraphs": paragraphs(found)}
    words |= {"stock": valued(found.stock), "in_progress": valued(found.in_progress)}
    return render(request, "costing/statement.html", words)


def statement_file(request, day):
    """The very bytes that were frozen."""
    text = _kept(day).row.text
    return _file(text.encode(), "application/json", f"statement-{day}.json")


def statement_pdf(request, day):
    found = _kept(day)
    raw = printed(found.statement, found.row.text)
    return _file(raw, "application/pdf", f"statement-{day}.pdf")


def _file(raw, kind, name):
    disposition = f'attachment; filename="{name}"'
    return HttpResponse(
        raw, content_type=kind, headers={"Content-Disposition": disposition}
    )


def _kept(day):
    try:
        found = kept(date.fromisoformat(day))
    except ValueError:
        found = None
    if found is None:
        raise Http404
    return found
