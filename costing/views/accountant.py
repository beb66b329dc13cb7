"""What goes to the accountant: the file, the journal, codes, taxes, what is unpaid."""

from datetime import timedelta
from decimal import Decimal

from django.http import HttpResponse
from django.shortcuts import render

from costing.actions.accounts import write_card
from costing.domain.accounts import ACCOUNTS
from costing.files.journal import journal_csv
from costing.files.year_file import year_file_xlsx
from costing.forms.accountant import CodesForm, PeriodForm
from costing.reads.accounts import codes_of
from costing.reads.journal import journal_between
from costing.reads.year_file import year_file
from costing.tables.unpaid import Unpaid, unpaid_rows
from production.buying.reads.owed import bill_payments, credited, recoverable_taxes
from production.pages.views.pages import card_page, paged
from production.quantities.domain.refusal import Refused
from production.record.reads.clock import today
from production.selling.reads.deposits import deposits_between
from production.selling.reads.payments import sale_payments
from production.selling.reads.revenue import in_all, sale_revenues

DAY = timedelta(days=1)
MOST = 100


def accountant(request):
    """The period, what it came to in taxes and payments, and the two files."""
    form = _period(request)
    return _page(request, form)


def _page(request, form):
    words = {"form": form, "lacks": _lacks()}
    if hasattr(form, "cleaned_data") or form.is_valid():
        period = form.cleaned_data
        whole = "to" in period and "method" in period and "since" in period
        words |= _money(period) | {"asked": _asked(period)} if whole else {}
    return render(request, "costing/accountant.html", words)


def _period(request):
    """What is asked for; the year so far where nothing is."""
    day = today()
    first = {"since": day.replace(month=1, day=1), "to": day, "method": "lots"}
    asked = {name: request.GET.get(name, f"{value}") for name, value in first.items()}
    return PeriodForm(asked)


def _asked(period):
    start = period["since"]
    return f"since={start or ''}&to={period['to']}&method={period['method']}"


def _lacks():
    codes = codes_of()
    return [words for account, words in ACCOUNTS.items() if account not in codes]


def _money(period):
    start, through = period["since"], period["to"]
    after = None if start is None else start - DAY
    back = recoverable_taxes(after, through)
    out, came = bill_payments(after, through), sale_payments(after, through)
    moves = deposits_between(after, through)
    back_again = [one for one in moves if one.empty]
    waiting = [one for one in credited() if one.row is None]
    return {
        "brought": in_all(sale_revenues(after, through)),
        "back": _sum(back),
        "back_rows": back[:MOST],
        "more": len(back[MOST:]),
        "paid_out": _sum(out),
        "paid_in": _sum(came),
        "deposits_back": sum((one.money for one in back_again), Decimal(0)),
        "waiting": waiting[:MOST],
    }


def _sum(rows):
    return sum((row.amount for row in rows), Decimal(0))


def accountant_file(request):
    return _file(request, "xlsx", lambda *asked: year_file_xlsx(year_file(*asked)))


def accountant_journal(request):
    def written(start, through, method):
        return journal_csv(journal_between(start, through), codes_of())

    return _file(request, "csv", written)


KINDS = {
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "csv": "text/csv; charset=utf-8",
}


def _file(request, kind, written):
    """The file of the period, or the page again with what is to do first."""
    form = _period(request)
    if form.is_valid():
        asked = form.cleaned_data
        try:
            raw = written(*(asked[name] for name in ("since", "to", "method")))
        except Refused as fault:
            form.add_error(None, str(fault))
        else:
            first = asked["since"] or "beginning"
            name = f"books-{first}-to-{asked['to']}.{kind}"
            disposition = {"Content-Disposition": f'attachment; filename="{name}"'}
            return HttpResponse(raw, content_type=KINDS[kind], headers=disposition)
    return _page(request, form)


def accountant_codes(request):
    return card_page(
        request,
        CodesForm(request.POST or None),
        write_card,
        title="Codes of accounts",
        says="As your accountant's books have them. An account without a code is asked "
        "for as soon as a journal needs it.",
        button="Write the codes",
        done="The codes are written.",
        to="accountant",
    )


def accountant_unpaid(request):
    """What was open at the end of today: owed to suppliers, to come from customers."""
    rows = unpaid_rows()
    table = Unpaid(rows)
    paged(request, table)
    sums = {
        kind: sum((row["left"] or 0 for row in rows if row["kind"] == kind), Decimal(0))
        for kind in ("purchase", "sale")
    }
    unknown = sum(row["left"] is None for row in rows)
    words = {"table": table, "sums": sums, "unknown": unknown}
    return render(request, "costing/unpaid.html", words)
