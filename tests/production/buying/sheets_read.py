"""A sheet of purchases read by the page or by the command, and what is wrong in it."""

import io

from django.core.management import call_command

from production.buying.domain.purchase_sheet import lay_out
from production.buying.forms.purchase_sheet.invoices import PurchaseSheet
from production.papers.files.sheets_in import read_sheet


def read(raw):
    return PurchaseSheet(lay_out(read_sheet(raw)))


def faults(raw):
    return [str(fault) for fault in read(raw).faults]


def imported(tmp_path, raw, name="bought.xlsx", **options):
    file = tmp_path / name
    file.write_bytes(raw)
    out = io.StringIO()
    call_command("import_purchases", str(file), stdout=out, **options)
    return out.getvalue()
