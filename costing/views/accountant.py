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
        whole = "through" in period and "method" in period and "start" in period
        words |= _money(period) | {"asked": _asked(period)} if whole else {}
    return render(request, "costing/accountant.html", words)


def _period(request):
    """What is asked for; the year so far where nothing is."""
    day = today()
    first = {"start": day.replace(month=1, day=1), "through": day, "method": "lots"}
    asked = {name: request.GET.get(name, f"{value}") for name, value in first.items()}
    return PeriodForm(asked)


def _asked(period):
    start = period["start"]
    return f"start={start or ''}&through={period['through']}&method={period['method']}"


def _lacks():
    codes = codes_of()
    return [words for account, words in ACCOUNTS.items() if account not in codes]


def _money(period):
    start, through = period["start"], period["through"]
    after = None if start is None else start - DAY
    back = recoverable_taxes(after, through)
    out, came = bill_payments(after, through), sale_payments(after, through)
    waiting = [one for one in credited() if one.row is None]
    return {
        "brought": in_all(sale_revenues(after, through)),
        "back": _sum(back),
        "back_rows": back[:MOST],
        "more": len(back[MOST:]),
        "paid_out": _sum(out),
        "paid_in": _sum(came),
        "waiting": waiting[:MOST],
    }


def _sum(rows):
    return sum((row.amount for row in rows), Decimal(0))


def accountant_file(request):
    return _file(request, "xlsx", lambda **asked: year_file_xlsx(year_file(**asked)))


def accountant_journal(request):
    def written(*, start, through, method):
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
        try:
            raw = written(**form.cleaned_data)
        except Refused as fault:
            form.add_error(None, str(fault))
        else:
            first = form.cleaned_data["start"] or "beginning"
            name = f"books-{first}-to-{form.cleaned_data['through']}.{kind}"
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
    table = Unpaid(unpaid_rows())
    paged(request, table)
    return render(request, "costing/unpaid.html", {"table": table})
