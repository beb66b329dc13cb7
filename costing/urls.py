"""Paths of what things cost; a lot's code stands last, whatever is in it."""

from django.urls import path

from costing import views
from production.urls import CODE

urlpatterns = [
    path(f"cost/{CODE}/", views.lot_cost, name="lot-cost"),
    path("value/", views.book_value, name="book-value"),
    path("value/statements/", views.statements, name="statements"),
    path("value/statements/open/", views.statement_open, name="statement-open"),
    path("value/statements/<str:day>/", views.statement, name="statement"),
    path(
        "value/statements/<str:day>/file/", views.statement_file, name="statement-file"
    ),
    path("value/statements/<str:day>/pdf/", views.statement_pdf, name="statement-pdf"),
]
