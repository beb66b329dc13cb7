"""Sheets: purchases read from one, and any list taken as one."""

from datetime import date
from decimal import Decimal
from html import unescape
from itertools import islice

from django.conf import settings
from django.contrib import messages
from django.core import signing
from django.db.models import QuerySet
from django.http import FileResponse, HttpResponse
from django.shortcuts import redirect, render
from django.utils.html import strip_tags
from django.utils.safestring import SafeString
from django.utils.text import slugify
from django_tables2.utils import A

from production.buying.actions.purchase_sheet import record_purchases, recorded_from
from production.buying.domain.purchase_sheet import lay_out
from production.buying.forms.purchase_sheet.invoices import PurchaseSheet
from production.buying.forms.purchase_sheet.rows import PurchaseSheetForm
from production.pages.tables import Figure
from production.pages.views.kept import forget_typed
from production.papers.files.sheets_in import digest, read_sheet
from production.papers.files.sheets_out import Stamp, purchase_template, write_sheet
from production.papers.files.sheets_unseen import left_unseen
from production.papers.files.uploads import DAY, keep, kept
from production.quantities.domain.refusal import Refused
from production.record.reads.clock import today
from production.workshop.models.workshop import Workshop

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
SALT = "purchase sheet"
CHUNK = 1_000
FIGURES = (int, Decimal, date)
# As many as a person reads on a page; the rest is counted.
SHOWN = 200
GONE = "The sheet is not kept any more: send it once again."


def purchase_sheet(request):
    """Read a sheet and show what was understood; nothing is written here."""
    if "kept" in request.POST:
        return _write(request)
    sent = request.method == "POST"
    form = PurchaseSheetForm(*((request.POST, request.FILES) if sent else ()))
    if request.method == "POST" and form.is_valid():
        file = form.cleaned_data["file"]
        try:
            return _shown(request, file.read(), file.name)
        except Refused as fault:
            form.add_error("file", str(fault))
    return _page(request, form)


def _page(request, form, **words):
    page = {"form": form, "title": "Read purchases from a sheet", **words}
    return render(request, "production/purchase_sheet.html", page)


def _shown(request, raw, name):
    """What was understood; a clean sheet is laid by until somebody says so."""
    mark = digest(raw)
    if before := recorded_from(mark):
        return _page(request, PurchaseSheetForm(), name=name, before=before)
    read = PurchaseSheet(lay_out(read_sheet(raw)))
    words = {"name": name, "read": read, "shown": SHOWN, "unseen": left_unseen(raw)}
    if not read.faults:
        token = {"mark": keep(settings.HOME / "uploads", raw), "name": name}
        words["kept"] = signing.dumps(token, salt=SALT)
    return _page(request, PurchaseSheetForm(), **words)


def _write(request):
    """Post a sheet that was shown before; sent twice, it is written once."""
    try:
        token = signing.loads(request.POST["kept"], salt=SALT, max_age=DAY)
        raw = kept(settings.HOME / "uploads", token["mark"])
    except signing.BadSignature:
        raw = None
    form = PurchaseSheetForm()
    if raw is None:
        return _page(request, form, gone=GONE)
    if request.method != "POST":
        # The sign-in ended before it was written: it is shown once more.
        return _shown(request, raw, token["name"])
    made = recorded_from(token["mark"])
    if not made:
        try:
            read = PurchaseSheet(lay_out(read_sheet(raw)))
            if read.faults:
                return _page(request, form, name=token["name"], read=read, shown=SHOWN)
            made = record_purchases(
                mark=token["mark"],
                new_items=read.new_items,
                arrivals=read.arrivals,
                by=request.user,
            )
        except Refused as fault:
            return _page(request, form, gone=str(fault))
    count = f"{len(made)} purchases are" if len(made) > 1 else f"{made[0]} is"
    messages.success(request, f"{count} in the book.")
    forget_typed(request)
    return redirect("purchases")


def purchase_sheet_template(request):
    answer = HttpResponse(purchase_template(), content_type=XLSX)
    answer["Content-Disposition"] = 'attachment; filename="purchases.xlsx"'
    return answer


def taken_as_sheet(request, table, title, filters=None):
    """All rows of a list as a file, in the order and narrowed as it is shown.

    Rows come from the database and go to the disk in portions.
    """
    columns = [
        column for column in table.columns if not column.column.exclude_from_export
    ]
    workshop, day = Workshop.objects.first(), today()
    stamp = Stamp(
        version=settings.VERSION,
        workshop=workshop.name if workshop else "",
        day=day,
        narrowed=_narrowed(filters),
    )
    file = write_sheet(
        title,
        [words for column in columns for words in _headings(column)],
        (
            [value for column in columns for value in _values(row, column)]
            for row in _rows(request, table)
        ),
        totals=_totals(table, columns),
        stamp=stamp,
    )
    name = f"{slugify(title) or 'list'}-{day}.xlsx"
    return FileResponse(file, as_attachment=True, filename=name, content_type=XLSX)


def _narrowed(filters):
    """What the list was narrowed to, as it was typed."""
    if filters is None:
        return ""
    boxes = [filters.form[name] for name in filters.form.changed_data]
    return "; ".join(f"{box.label}: {filters.data.get(box.html_name)}" for box in boxes)


def _rows(request, table):
    records = table.data.data
    if isinstance(records, QuerySet):
        records = records.iterator(chunk_size=CHUNK)
    records = iter(records)
    while portion := list(islice(records, CHUNK)):
        # A table of its own, so that what it looks up beforehand fits its rows.
        part = type(table)(portion, order_by=())
        part.before_render(request)
        yield from part.rows


def _headings(column):
    """An amount has a column for each unit, so that it can be summed."""
    if isinstance(column.column, Figure):
        return [f"{column.header}, g", f"{column.header}, pieces"]
    return [str(column.header)]


def _values(row, column):
    raw = A(column.accessor).resolve(row.record, quiet=True)
    if isinstance(column.column, Figure):
        counted = column.column.unit(row.record) == "piece"
        return [None, raw] if counted else [raw, None]
    if type(raw) in FIGURES:
        return [raw]
    shown = _plain(row.get_cell_value(column.name))
    return [None if shown == column.default else shown]


def _plain(shown):
    """A figure or a word as it is; of what is drawn for a page only the words."""
    if isinstance(shown, SafeString):
        shown = unescape(strip_tags(shown))
    return shown if type(shown) in FIGURES else str(shown or "") or None


def _totals(table, columns):
    """The sums at the foot of the page, under the same words; one row needs none."""
    summed = table.in_all and table.data.data.count() > 1
    sums = table.in_all if summed else {}
    totals = [value for column in columns for value in _total(column, sums)]
    if summed:
        totals[0] = "In all"
    return totals


def _total(column, sums):
    """The figures at the foot of a column, if its table has some."""
    if isinstance(column.column, Figure):
        by_unit = {unit: value for value, unit in sums.get(column.name, ())}
        return [by_unit.get("g"), by_unit.get("piece")]
    if column.name in sums:
        return [value for value, _ in sums[column.name]]
    return [_plain(column.footer) if column.has_footer() else None]
