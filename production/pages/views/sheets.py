"""Sheets: purchases read from one, and any list taken as one."""

from datetime import date
from decimal import Decimal
from html import unescape
from itertools import islice

from django.conf import settings
from django.db.models import QuerySet
from django.http import FileResponse
from django.utils.html import strip_tags
from django.utils.safestring import SafeString
from django.utils.text import slugify
from django_tables2.utils import A

from production.pages.tables import Figure
from production.papers.files.sheets_out import Stamp, write_sheet
from production.record.models.workshop import Workshop
from production.record.reads.clock import today

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
SALT = "purchase sheet"
CHUNK = 1_000
FIGURES = (int, Decimal, date)
# As many as a person reads on a page; the rest is counted.
SHOWN = 200
GONE = "The sheet is not kept any more: send it once again."


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
