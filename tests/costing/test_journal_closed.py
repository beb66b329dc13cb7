"""The journal of a closed month keeps what was closed; the open one bears the rest.

A closed period is not posted to again; what is learnt of it is an entry of the first
open one (common practice, no source; IAS 8.36 for a change of estimate).
"""

from collections import Counter
from datetime import date
from decimal import Decimal as D

import pytest
from django.urls import reverse

from costing.domain.journal import to_the_cent
from costing.reads.books import books_between
from costing.reads.journal import journal_between
from production.closing.actions import close_book
from production.correcting.actions.putting_right import put_right
from production.record.reads.restated import OF
from production.selling.actions.sales import NewSaleLine, sell
from tests import make

pytestmark = pytest.mark.django_db
JANUARY = date(2026, 1, 1), date(2026, 1, 31)
FEBRUARY = date(2026, 2, 1), date(2026, 2, 28)
BOTH = None, FEBRUARY[1]


def act(on):
    return {"on": on, "by": make.owner()}


def booked(start, through):
    found = Counter()
    for entry in journal_between(start, through):
        found.update(entry.lines)
    return {account: D(cents) / 100 for account, cents in found.items() if cents}


def agrees(start, through):
    entries, figures = booked(start, through), books_between(start, through).figures
    assert -entries.get("sales", 0) * 100 == to_the_cent(figures.revenue)


@pytest.fixture
def dearer(owner):
    """40 pieces for 2.38 with 19 % in it, of January, closed; then it was 3.57."""
    crate = make.lot("CRATE", grams="100", price="10", on=date(2026, 1, 2))
    sale = sell(
        lines=[NewSaleLine(crate, D(40), D("2.38"))],
        channel="stall",
        number="W-1",
        tax_rate=D("0.19"),
        tax_is="inside",
        **act(date(2026, 1, 3)),
    )
    close_book(through=JANUARY[1], **act(date(2026, 2, 3)))
    before = booked(*JANUARY)
    put_right(
        of=OF.SALE_LINE,
        row=sale.lines.get().pk,
        figures={"unit_price": D("3.57")},
        reason="it was so",
        **act(date(2026, 2, 5)),
    )
    return before


def test_a_price_put_right_leaves_the_journal_of_its_closed_month(dearer):
    """2.38 / 1.19 = 2.00, so 80.00 and 15.20 of tax; 3.57 / 1.19 = 3.00, so 40.00 and
    7.60 more, in the open month."""
    assert booked(*JANUARY) == dearer
    assert dearer["sales"] == -80
    assert dearer["sales_tax"] == D("-15.20")
    february = booked(*FEBRUARY)
    assert february == {"receivable": D("47.60"), "sales": -40, "sales_tax": D("-7.60")}
    for period in (JANUARY, FEBRUARY, BOTH):
        agrees(*period)
    [entry] = [
        one
        for one in journal_between(*FEBRUARY)
        if "learnt of closed months" in one.text
    ]
    assert sum(entry.lines.values()) == 0


def test_it_stays_so_when_the_month_that_learnt_it_is_closed_too(dearer):
    close_book(through=FEBRUARY[1], **act(date(2026, 3, 2)))
    assert booked(*JANUARY) == dearer
    assert booked(*FEBRUARY)["sales_tax"] == D("-7.60")
    for period in (JANUARY, FEBRUARY, BOTH):
        agrees(*period)


def test_the_books_say_what_of_the_revenue_was_learnt(dearer, client, owner):
    client.force_login(owner)
    asked = {"since": FEBRUARY[0], "to": FEBRUARY[1]}
    page = client.get(reverse("books"), asked).content.decode()
    assert "40.00\nUSD of the revenue was learnt of closed months" in page
    page = client.get(reverse("books"), {"to": JANUARY[1]}).content.decode()
    assert "of the revenue was learnt" not in page
