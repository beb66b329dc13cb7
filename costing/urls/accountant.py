"""Paths of what goes to the accountant."""

from django.urls import path

from costing.views import accountant

urlpatterns = [
    path("accountant/", accountant.accountant, name="accountant"),
    path("accountant/books.xlsx", accountant.accountant_file, name="accountant-file"),
    path(
        "accountant/journal.csv",
        accountant.accountant_journal,
        name="accountant-journal",
    ),
    path("accountant/codes/", accountant.accountant_codes, name="accountant-codes"),
    path("accountant/unpaid/", accountant.accountant_unpaid, name="accountant-unpaid"),
]
