"""The books of a day or a period: what is held, what came, where the rest went."""

from datetime import timedelta
from urllib.parse import urlencode

from django.http import Http404
from django.shortcuts import render
from django.urls import reverse

from costing.actions.books import change_terms
from costing.domain.bars import bars
from costing.domain.books import Books
from costing.domain.figures import money_of
from costing.domain.statement_words import to_the_cent
from costing.forms.books import WORDS, BooksForm, TermsForm
from costing.reads.books import books_between
from costing.reads.entries import OPENED, Entry, opened
from costing.reads.figures import terms, view_of
from costing.reads.learnt import learnt_revenue
from costing.reads.overfill import overfills
from costing.reads.realisable import proposals
from production.buying.reads.bills import why_unknown
from production.pages.views.pages import write_page
from production.quantities.domain.refusal import Refused

DAY = timedelta(days=1)
# How each loss is called on the page, and where it is opened.
LOSSES = {
    "given": ("given away", "given"),
    "samples": ("samples", "samples"),
    "own_use": ("own use", "own-use"),
    "discarded": ("discarded", "discarded"),
    "abnormal": ("lost in making", "abnormal"),
    "counted": ("missing at a count", "counted"),
    "development": ("trials not accepted", "development"),
}
KINDS = {"material": "materials", "packaging": "packaging", "made": "made here"}


def books(request):
    form = BooksForm(request.GET)
    found = _asked(form)
    page = {"form": form, "title": "Books", "words": WORDS}
    if found is not None:
        page |= _page(found, _query(form))
    return render(request, "costing/books.html", page)


def entries(request, of):
    if of not in OPENED:
        raise Http404
    form = BooksForm(request.GET)
    found = _asked(form)
    page = {"form": form, "of": of, "back": f"{reverse('books')}?{_query(form)}"}
    if found is not None:
        told = opened(of, found)
        page |= {
            "told": told,
            "books": found,
            "rows": [(row, _money(row)) for row in told.rows],
            "total": to_the_cent(told.total),
            "rest": to_the_cent(told.rest) if told.rest else "",
        }
    return render(request, "costing/books_entries.html", page)


def books_terms(request):
    """The card: who owns the workshop, and one formula for each kind of item."""
    return write_page(
        request,
        TermsForm(request.POST or None, instance=terms()),
        change_terms,
        title="How the books are kept",
        says="One way to value all stock of a kind (IAS 2.25). Closed months stay as "
        "they were; a change of the way stands in the first open one. For tax, ask a "
        "licensed adviser which of these you may use.",
        button="Write the card",
        done="The card is written.",
        to="books",
    )


def _asked(form) -> Books | None:
    """The books that the form asks for; None where it cannot be, and the form says."""
    if not form.is_valid():
        return None
    asked = form.cleaned_data
    try:
        return books_between(asked.get("since"), form.through, asked["method"])
    except Refused as fault:
        form.add_error(None, str(fault))
        return None


def _query(form):
    """What was asked, as the address of the next page carries it; a page
    whose own beginning is another one is told that there is none."""
    asked = getattr(form, "cleaned_data", {})
    asked = {name: value for name, value in asked.items() if value}
    return urlencode({"since": "", **asked})


def _money(row: Entry):
    return to_the_cent(row.nano)


def _page(found: Books, query: str):
    figures = found.figures
    rows = [
        (words, of, figures.losses.get(name, 0)) for name, (words, of) in _split(found)
    ]
    flows = view_of(found.through, found.method).flows()
    learnt = learnt_revenue(found)
    over = overfills(flows, found.after, found.through)
    return {
        "books": found,
        "query": query,
        "since": None if found.after is None else found.after + DAY,
        "revenue": to_the_cent(found.revenue),
        "learnt": to_the_cent(learnt) if learnt else "",
        "margin": to_the_cent(found.margin),
        "stock": to_the_cent(figures.stock if found.known else None),
        "missing": why_unknown(found.missing),
        "came": _came(found),
        "went": _went(found),
        "late_stock": to_the_cent(figures.late.stock),
        "whole": to_the_cent(figures.opening + figures.purchases + figures.making_cost),
        "exact": _exact(found),
        "losses": [
            (words, of, to_the_cent(nano), bar)
            for (words, of, nano), bar in zip(
                rows, bars([nano for *_, nano in rows]), strict=True
            )
        ],
        "lost": to_the_cent(sum(nano for *_, nano in rows)),
        "causes": [(name, to_the_cent(n)) for name, n in figures.causes.items() if n],
        "overfill": [(one, to_the_cent(one.nano)) for one in over],
        "overfilled": to_the_cent(sum(one.nano or 0 for one in over)),
        "kinds": [
            (KINDS.get(kind, kind or "learnt later"), to_the_cent(nano))
            for kind, nano in found.by_kind().items()
        ],
        "rows": [(row, to_the_cent(row.value)) for row in found.stock],
        "less": [
            (one, to_the_cent(one.of.value), to_the_cent(one.less))
            for one in proposals(found.stock, found.through)
            if one.less or (one.less is None and not one.of.serves)
        ],
    }


def _split(found: Books):
    """Own use stands among the losses only where it is one."""
    sole = not found.figures.losses.get("own_use")
    return [
        (name, row) for name, row in LOSSES.items() if not (sole and name == "own_use")
    ]


def _came(found: Books):
    figures = found.figures
    opening = "held at the start" if found.after else "opening stock"
    rows = [
        (opening, "", figures.opening),
        ("purchases", "purchases", figures.purchases),
        *(
            (f"work on batches: {kind}", "making", nano)
            for kind, nano in figures.making.items()
        ),
    ]
    return [(words, of, to_the_cent(nano)) for words, of, nano in rows]


def _went(found: Books):
    figures, late = found.figures, found.figures.late
    rows = [
        ("in stock", "", figures.stock),
        ("in open batches", "", figures.work_in_progress),
        ("cost of what was sold", "sold", figures.cost_of_goods_sold),
        ("losses", "", sum(figures.losses.values())),
    ]
    if figures.drawings:
        rows.append(("own use, as drawings", "own-use", figures.drawings))
    if late.sold or late.lost:
        rows.append(("late bills of closed months, sold", "", late.sold))
        rows.append(("late bills of closed months, lost", "", late.lost))
    return [(words, of, to_the_cent(nano)) for words, of, nano in rows]


def _exact(found: Books):
    """Every figure to nine places."""
    figures = found.figures
    rows = {
        "opening": figures.opening,
        "purchases": figures.purchases,
        **{f"work: {kind}": nano for kind, nano in figures.making.items()},
        "in stock": figures.stock,
        "in open batches": figures.work_in_progress,
        "revenue": figures.revenue,
        "cost of what was sold": figures.cost_of_goods_sold,
        **{LOSSES[name][0]: figures.losses.get(name, 0) for name, _ in _split(found)},
        "drawings": figures.drawings,
        "late bills, held on the last closed day": figures.late.stock,
        "late bills, sold": figures.late.sold,
        "late bills, lost": figures.late.lost,
    }
    return [(name, money_of(nano)) for name, nano in rows.items()]
