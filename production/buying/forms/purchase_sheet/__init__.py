"""A sheet of purchases: its rows, what the book knows of them, its invoices."""

from production.buying.forms.purchase_sheet.invoices import PurchaseSheet
from production.buying.forms.purchase_sheet.rows import PurchaseSheetForm

__all__ = ["PurchaseSheet", "PurchaseSheetForm"]
