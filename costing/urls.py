"""Paths of what things cost, what stands in the book, and statements of it."""

from django.urls import path

from costing import views
from production.stock.urls import LOT

urlpatterns = [
    path(f"{LOT}/cost/", views.lot_cost, name="lot-cost"),
    path("value/", views.book_value, name="book-value"),
    path("statements/", views.statements, name="statements"),
    path("statements/open/", views.statement_open, name="statement-open"),
    path("statements/<str:day>/", views.statement, name="statement"),
    path(
        "statements/<str:day>/statement.json",
        views.statement_file,
        name="statement-file",
    ),
    path(
        "statements/<str:day>/statement.pdf", views.statement_pdf, name="statement-pdf"
    ),
]
