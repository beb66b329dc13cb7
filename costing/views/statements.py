"""Statements of value: those that were frozen, and the one of the days since."""

from datetime import date

from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render

from costing.domain.statement import write
from costing.domain.statement_words import paragraphs, to_the_cent
from costing.files.statements import statement_pdf as printed
from costing.reads.statements import closings, kept, open_statement, run, years
from production.quantities.domain.refusal import Refused
from production.record.reads.clock import today


def statements(request):
    rows = closings()
    page = {"rows": rows, "years": years(), "kept": [row for row in rows if row.kept]}
    if "first" in request.GET:
        try:
            first, last = _run_days(request.GET["first"], request.GET.get("last", ""))
            run(first, last)
        except Refused as fault:
            page["fault"] = str(fault)
        else:
            return redirect("statement-run", first, last)
    return render(request, "costing/statements.html", page)


def _run_days(first, last):
    """The first and last month of a run, whichever was chosen first."""
    try:
        return sorted([date.fromisoformat(first), date.fromisoformat(last)])
    except ValueError:
        raise Refused("Choose the first and the last month.") from None


def statement_run(request, first, last):
    """A year, or any run of closed months, from what was frozen of each."""
    found = _run(first, last)
    words = {"first": first, "last": last, "closed": found.row.closing, "run": True}
    return _statement_page(request, found.statement, **words)


def statement_run_file(request, first, last):
    text = write(_run(first, last).statement)
    return _file(text.encode(), "application/json", f"statement-{first}-{last}.json")


def statement_run_pdf(request, first, last):
    found = _run(first, last)
    raw = printed(found.statement, write(found.statement))
    return _file(raw, "application/pdf", f"statement-{first}-{last}.pdf")


def _run(first, last):
    try:
        found = run(date.fromisoformat(first), date.fromisoformat(last))
    except (ValueError, Refused):
        found = None
    if found is None:
        raise Http404
    return found


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
