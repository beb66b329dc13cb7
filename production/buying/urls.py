"""Paths of purchases, suppliers, and stock that was there before the book."""

from django.urls import path

from production.buying.views import money, purchases, sheets
from production.stock.urls import LOT

urlpatterns = [
    path("purchases/", purchases.purchases, name="purchases"),
    path("purchases/record/", purchases.record, name="purchase-record"),
    path("purchases/sheet/", sheets.purchase_sheet, name="purchase-sheet"),
    path(
        "purchases/sheet/template/",
        sheets.purchase_sheet_template,
        name="purchase-sheet-template",
    ),
    path("purchases/<int:pk>/", purchases.purchase, name="purchase"),
    path("purchases/<int:pk>/arrived/", purchases.arrived, name="purchase-arrived"),
    path("purchases/<int:pk>/pay/", money.pay, name="purchase-pay"),
    path("purchases/sent-back/<int:pk>/credit/", money.credit, name="purchase-credit"),
    path(f"{LOT}/send-back/", money.send, name="lot-send-back"),
    path("purchases/<int:pk>/cost/", purchases.extra_cost, name="purchase-cost"),
    path("purchases/lines/<int:pk>/price/", purchases.price, name="line-price"),
    path("lots/open/", purchases.open_stock, name="stock-open"),
    path("suppliers/", purchases.suppliers, name="suppliers"),
    path("suppliers/add/", purchases.supplier_add, name="supplier-add"),
    path("suppliers/<int:pk>/", purchases.supplier, name="supplier"),
    path(
        "suppliers/<int:pk>/change/", purchases.supplier_change, name="supplier-change"
    ),
]
