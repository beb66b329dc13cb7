"""Paths of sales, what came back of them, and customers."""

from django.urls import path

from production.selling.views import deposits
from production.selling.views import sales as views
from production.stock.urls import LOT

urlpatterns = [
    path("sales/", views.sales, name="sales"),
    path("sales/record/", views.sell, name="sale-sell"),
    path("sales/<int:pk>/", views.sale, name="sale"),
    path("sales/<int:pk>/pay/", views.pay, name="sale-pay"),
    path("sales/lines/<int:pk>/take-back/", views.take_back, name="sale-take-back"),
    path("returns/", views.returns, name="returns"),
    path("returns/<int:pk>/look/", views.look, name="return-look"),
    path("customers/", views.customers, name="customers"),
    path("customers/add/", views.customer_add, name="customer-add"),
    path("customers/<int:pk>/", views.customer, name="customer"),
    path("customers/<int:pk>/change/", views.customer_change, name="customer-change"),
    path("deposits/", deposits.deposits, name="deposits"),
    path("deposits/take-back/", deposits.take_back, name="deposit-take-back"),
    path(f"{LOT}/wash/", deposits.wash, name="lot-wash"),
]
