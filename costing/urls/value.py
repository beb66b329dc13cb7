"""Paths of what things cost, what stands in the book, and statements of it."""

from django.urls import path

from costing.views import lots, statements, value
from production.stock.urls import LOT

urlpatterns = [
    path(f"{LOT}/cost/", lots.lot_cost, name="lot-cost"),
    path("value/", value.book_value, name="book-value"),
    path("statements/", statements.statements, name="statements"),
    path("statements/open/", statements.statement_open, name="statement-open"),
    path(
        "statements/<str:first>/to/<str:last>/",
        statements.statement_run,
        name="statement-run",
    ),
    path(
        "statements/<str:first>/to/<str:last>/statement.json",
        statements.statement_run_file,
        name="statement-run-file",
    ),
    path(
        "statements/<str:first>/to/<str:last>/statement.pdf",
        statements.statement_run_pdf,
        name="statement-run-pdf",
    ),
    path("statements/<str:day>/", statements.statement, name="statement"),
    path(
        "statements/<str:day>/statement.json",
        statements.statement_file,
        name="statement-file",
    ),
    path(
        "statements/<str:day>/statement.pdf",
        statements.statement_pdf,
        name="statement-pdf",
    ),
]
