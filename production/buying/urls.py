"""Paths of purchases, suppliers, and stock that was there before the book."""

from django.urls import path

from production.buying.views import purchases as buying
from production.buying.views import sheets

urlpatterns = [
    path("purchases/", buying.purchases, name="purchases"),
    path("purchases/record/", buying.record, name="purchase-record"),
    path("purchases/sheet/", sheets.purchase_sheet, name="purchase-sheet"),
    path(
        "purchases/sheet/template/",
        sheets.purchase_sheet_template,
        name="purchase-sheet-template",
    ),
    path("purchases/<int:pk>/", buying.purchase, name="purchase"),
    path("purchases/<int:pk>/arrived/", buying.arrived, name="purchase-arrived"),
    path("purchases/<int:pk>/cost/", buying.extra_cost, name="purchase-cost"),
    path("purchases/lines/<int:pk>/price/", buying.price, name="line-price"),
    path("lots/open/", buying.open_stock, name="stock-open"),
    path("suppliers/", buying.suppliers, name="suppliers"),
    path("suppliers/add/", buying.supplier_add, name="supplier-add"),
    path("suppliers/<int:pk>/", buying.supplier, name="supplier"),
    path("suppliers/<int:pk>/change/", buying.supplier_change, name="supplier-change"),
]
