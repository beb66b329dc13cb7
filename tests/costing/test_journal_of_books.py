"""The journal of a whole workshop: every month balances, and agrees with the books."""

from collections import Counter
from datetime import date, timedelta
from decimal import Decimal as D

import pytest
from hypothesis import HealthCheck, given, settings

from costing.domain.accounts import PURCHASES
from costing.domain.journal import ROUNDING, sums, to_the_cent
from costing.reads.books import books_between, to_date
from costing.reads.journal import _by_kind, as_accounts, journal_between
from costing.reads.postings import value_postings
from production.buying.actions.payments import pay_bill
from production.buying.actions.purchases import (
    NewExtra,
    NewLine,
    add_extra_cost,
    price_line,
    record_purchase,
)
from production.buying.actions.sending_back import send_back
from production.buying.actions.suppliers import ensure_supplier
from production.closing.actions import close_book
from production.correcting.actions.putting_right import put_right
from production.models import Lot, PurchaseLine, SaleLine
from production.record.reads.restated import OF, as_now
from production.selling.actions.payments import pay_sale
from production.selling.actions.sales import NewSaleLine, sell, take_back
from production.stock.actions.opening_lots import NewLot
from tests import make
from tests.costing.test_books_laws import in_an_empty_book
from tests.production.random_workshop import FIRST, RandomWorkshop, steps

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
MARCH, APRIL = date(2026, 3, 31), date(2026, 4, 30)


def act(on):
    return {"on": on, "by": make.owner()}


@pytest.fixture
def traded(owner):
    """Oil for 10.00 with 2.00 of tax and 3.00 of freight; a third of a soap sold."""
    line = NewLine(
        make.item("rapeseed oil", category="oil"),
        [NewLot(D(1000), "OIL")],
        price=D(10),
        recoverable_tax=D(2),
    )
    box = NewLine(None, price=D(4), text="pallet")
    paper = record_purchase(
        supplier=ensure_supplier("Northmere"),
        number="=NM-1",
        lines=[line, box],
        extra_costs=[NewExtra("freight", D(3))],
        **act(make.day(2)),
    )
    oil = Lot.objects.get(code="OIL")
    send_back(lot=oil, amount=D(100), credit=D(1), **act(make.day(5)))
    pay_bill(purchase=paper, amount=D(17), settles=True, **act(make.day(9)))
    sale = sell(
        lines=[NewSaleLine(oil, D(300), D("0.05"))],
        channel="stall",
        tax_rate=D("0.0825"),
        **act(make.day(10)),
    )
    pay_sale(sale=sale, **act(make.day(11)))
    take_back(line=sale.lines.get(), amount=D(7), then="restock", **act(make.day(12)))
    return oil


def freight(lot):
    facts = {"purchase": lot.line.purchase, "kind": "freight", "amount": D(2)}
    add_extra_cost(**facts, **act(date(2026, 4, 3)))


def balances(entries):
    found = Counter()
    for entry in entries:
        assert entry.debits == entry.credits > 0
        found.update(entry.lines)
    return {account: D(cents) / 100 for account, cents in found.items() if cents}


def test_a_month_by_hand(traded):
    """13.00 for the oil, of which 1.30 went back for a credit of 1.00. 300 g cost 3.90
    and 7 of them come back: 3.81. They bring 15.00 and 1.24 of tax, less 7 / 300."""
    found = balances(journal_between(None, MARCH))
    assert found["cost_of_goods_sold"] == D("3.81")
    assert found["supplier_credits"] == D("0.30")
    assert found["recoverable_tax"] == 2
    assert found["not_stocked"] == 4
    # 13 + 2 + 4 - 1 are owed, 17.00 were paid and settled it.
    assert "payable" not in found
    assert found["payment_differences"] == -1
    assert found["sales"] == D("-14.65")
    assert found["sales_tax"] == D("-1.21")
    assert found["bank"] == D("16.24") - 17
    assert found["receivable"] == D("-0.38")
    assert found["stock_material"] == D("7.89")
    assert sum(found.values()) == 0


def test_c10_freight_to_a_customer_is_no_cost_of_stock(traded):
    """OpenStax, Principles of Accounting vol. 1, 6.5; IAS 2.16(d): 100.00 of shipping
    paid by the seller are an expense of selling and no part of any stock."""
    before = balances(journal_between(None, MARCH))
    parcel = NewLine(None, price=D(100), text="parcel to a customer")
    record_purchase(
        supplier=ensure_supplier("A carrier"), lines=[parcel], **act(make.day(20))
    )
    after = balances(journal_between(None, MARCH))
    assert after["not_stocked"] - before["not_stocked"] == 100
    assert after["stock_material"] == before["stock_material"]
    assert after["cost_of_goods_sold"] == before["cost_of_goods_sold"]


def test_months_follow_each_other(traded):
    """What two months book is what both book together."""
    add_extra_cost(
        purchase=traded.line.purchase,
        kind="freight",
        amount=D(2),
        **act(date(2026, 4, 3)),
    )
    both = balances(journal_between(None, APRIL))
    first = Counter(balances(journal_between(None, MARCH)))
    first.update(balances(journal_between(date(2026, 4, 1), APRIL)))
    assert {name: cents for name, cents in first.items() if cents} == both


def test_a_late_bill_of_a_closed_month_stands_in_the_next(traded):
    """Of 2.00 of freight for 1,000 g: 0.20 went back, 0.586 was sold, 1.214 is left.
    The purchase was settled before: the freight is owed."""
    close_book(through=MARCH, **act(date(2026, 4, 2)))
    before = balances(journal_between(None, MARCH))
    add_extra_cost(
        purchase=traded.line.purchase,
        kind="freight",
        amount=D(2),
        **act(date(2026, 4, 3)),
    )
    assert balances(journal_between(None, MARCH)) == before
    april = balances(journal_between(date(2026, 4, 1), APRIL))
    assert april["late_bills"] == D("0.59")
    assert april["stock_material"] == D("1.21")
    assert "cost_of_goods_sold" not in april
    assert april["supplier_credits"] == D("0.20")
    assert april["payable"] == -2
    assert sum(april.values()) == 0


def test_it_names_what_has_no_price(traded):
    make.lot("NEW", price=None)
    with make.refused("NEW", "prices first"):
        journal_between(None, MARCH)


def agrees(start, through):
    """Debits are credits; each account is what the books say of it, to the cent."""
    entries = journal_between(start, through)
    found = Counter()
    for entry in entries:
        assert entry.debits == entry.credits > 0
        found.update(entry.lines)
    books = books_between(start, through)
    figures = books.figures
    assert found["cost_of_goods_sold"] == to_the_cent(figures.cost_of_goods_sold)
    assert found["work_in_progress"] == to_the_cent(
        figures.work_in_progress
        - (to_date(start - DAY, "lots").figures.work_in_progress if start else 0)
    )
    late = figures.late.sold + figures.late.lost
    assert found["late_bills"] == to_the_cent(late)
    assert found["drawings"] == to_the_cent(figures.drawings)
    assert found["sales"] == -to_the_cent(figures.revenue)
    for name, nano in figures.losses.items():
        assert found[name] == to_the_cent(nano)
    for kind, nano in figures.making.items():
        assert found[f"making_{kind}"] == -to_the_cent(nano)
    assert abs(found[ROUNDING]) < 20


@settings(
    max_examples=4,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(taken=steps())
def test_a_random_workshop(db, taken):
    """Whatever was closed, billed late, corrected and brought back."""

    def look():
        workshop = RandomWorkshop().play(taken)
        give_prices(workshop.today)
        for start, end in (
            (None, FIRST + 5 * DAY),
            (FIRST + 3 * DAY, max(workshop.today, FIRST + 40 * DAY)),
        ):
            told = to_date(end, "lots")
            if told.missing or told.unpriced:
                continue
            if told.frozen is None:
                seen = Counter()
                for account, nano in sums(value_postings(told.view)).items():
                    seen["payable" if account in PURCHASES else account] += nano
                back = told.view.totals.sent_back
                wanted = as_accounts(told.figures, _by_kind(told), back)
                for account in {*seen, *wanted}:
                    assert seen[account] == wanted[account]
            agrees(start, end)

    in_an_empty_book(look)


def give_prices(today):
    """What nobody priced, so that a journal can be written."""
    for line in PurchaseLine.objects.standing().filter(prices=None):
        price_line(line=line, price=D("3.33"), **act(today))
    for line in as_now(SaleLine.objects.all()):
        if line.unit_price is None:
            figures = {"unit_price": D("1.11")}
            facts = {"of": OF.SALE_LINE, "row": line.pk, "reason": "it was so"}
            put_right(figures=figures, **facts, **act(today))
