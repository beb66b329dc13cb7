"""Paths of what is to be made next, and its sheets."""

from django.urls import path

from production.planning import views

urlpatterns = [
    path("plan/", views.plan, name="plan"),
    path("plan/sheets/", views.sheets, name="plan-sheets"),
    path("plan/sheets.pdf", views.sheets_pdf, name="plan-sheets-pdf"),
]
