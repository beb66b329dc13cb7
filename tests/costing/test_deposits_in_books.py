"""Deposits in the accountant's file and journal; a licensed adviser decides on them.

Money that is owed and no income, and what a bottle is worth when it comes back: common
practice, no source.
"""

import io
import re
from decimal import Decimal as D

import pytest
from django.urls import reverse
from openpyxl import load_workbook

from costing.files.year_file import year_file_xlsx
from costing.reads.journal import journal_between
from costing.reads.year_file import year_file
from production.selling.actions.customers import ensure_customer
from production.selling.actions.deposits import take_empties_back
from production.selling.actions.sales import NewSaleLine, sell
from tests import make

pytestmark = pytest.mark.django_db
PERIOD = make.day(1), make.day(28)


@pytest.fixture
def bottles(owner):
    """Six of a soap on 0.50 each; two come back, each worth 0.20."""
    who = ensure_customer("The Tin Lantern")
    line = NewSaleLine(make.filled("F1"), D(6), D(9), deposit=D("0.50"))
    sell(lines=[line], customer=who, **make.act(3))
    take_empties_back(
        item=make.item("bottle 250"),
        amount=D(2),
        deposit=D("0.50"),
        value=D("0.40"),
        customer=who,
        **make.act(5),
    )


def rows(sheet):
    return [list(row) for row in sheet.iter_rows(values_only=True)]


def test_the_file_has_them_row_by_row(bottles):
    book = load_workbook(io.BytesIO(year_file_xlsx(year_file(*PERIOD))))
    told = rows(book["Deposits"])
    assert any(row[2:5] == ["The Tin Lantern", 3, None] for row in told)
    assert any(row[2:5] == ["The Tin Lantern", None, 1] for row in told)
    assert ["The Tin Lantern", 4, "", 2] in [
        [one if one is not None else "" for one in row[:4]] for row in told
    ]
    assert any(row[3] == 1 for row in rows(book["Paid"]) if row[2])
    assert any("came back empty" in row for row in rows(book["Purchases"]))


def test_empties_are_no_water_from_the_tap(bottles):
    found = {}
    for entry in journal_between(*PERIOD):
        for account, cents in entry.lines.items():
            found[account] = found.get(account, 0) + cents
    assert found["empties"] == -40
    assert "tap" not in found


def test_the_page_says_what_was_paid_back(bottles, desk):
    asked = {"since": PERIOD[0], "to": PERIOD[1]}
    page = desk.get(reverse("accountant"), asked).content.decode()
    words = " ".join(re.sub(r"<[^>]*>", " ", page).split())
    assert "deposits of empty bottles 1.00" in words
