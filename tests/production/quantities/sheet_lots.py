"""The first lot that a sheet of purchases gives, or what is refused in it."""

from production.buying.domain.purchase_sheet import lay_out
from production.buying.forms.purchase_sheet.invoices import PurchaseSheet
from production.papers.files.sheets_in import read_sheet
from production.quantities.domain.refusal import Refused
from tests.production.buying.sheet_cases import HEAD, OIL, csv


def lot(raw):
    read = PurchaseSheet(lay_out(read_sheet(raw)))
    if read.faults:
        raise Refused("; ".join(map(str, read.faults)))
    return read.arrivals[0].lines[0].lots[0]


def headed(title, cell, made=csv, **extra):
    head = (*HEAD[:5], title, HEAD[6], *extra)
    return made((*OIL[:5], cell, OIL[6], *extra.values()), head=head)
