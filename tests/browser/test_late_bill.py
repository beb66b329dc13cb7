"""A freight bill that comes late is entered, and says what it changed."""

from datetime import date
from decimal import Decimal

from production.buying.actions.purchases import NewExtra, NewLine, record_purchase
from production.buying.actions.suppliers import ensure_supplier
from production.closing.actions import close_book
from production.selling.actions.customers import ensure_customer
from production.selling.actions.sales import NewSaleLine, sell
from production.stock.actions.opening_lots import NewLot
from production.workshop.actions.cards import set_up_workshop
from tests import make

D = Decimal


def at(month, day):
    return {"on": date(2026, month, day), "by": make.owner()}


def the_demos_freight():
    """Two lines of the demo's NO-2041, of which some babassu was sold in January."""
    set_up_workshop(name="Wrackline Soap Works", currency="USD", zone="UTC")
    lines = [
        NewLine(make.item(name, category="oil"), [NewLot(D(grams), code)], D(price))
        for name, grams, code, price in (
            ("babassu oil", "16000", "BAB-1", "142.00"),
            ("castor oil", "4000", "CAS-1", "31.50"),
        )
    ]
    bought = record_purchase(
        number="NO-2041",
        supplier=ensure_supplier("Northmere Oils"),
        lines=lines,
        extra_costs=[NewExtra("freight", D("64.80"))],
        **at(1, 7),
    )
    lot = bought.lines.get(position=1).lots.get()
    sell(
        lines=[NewSaleLine(lot, D(4000), D("0.02"))],
        customer=ensure_customer("Bracken House Inn"),
        **at(1, 20),
    )
    close_book(through=date(2026, 1, 31), **at(2, 6))
    return bought


def test_a_late_freight_bill_says_what_it_changed(walk):
    """41.20 over 20,000 g is 2.06 a kg: 12 + 4 kg are on the shelf and carry 32.96, the
    4 kg that were sold in January 8.24, which stands in February."""
    bought = the_demos_freight()
    walk.open(bought.get_absolute_url())
    walk.follow("Add an extra cost")
    walk.fill(kind="freight", amount="41.20", by_basis="weight")
    walk.fill(invoiced="2026-01-28", on="2026-02-09")
    walk.press()
    walk.sees("What it changes", "32.96 USD more", "8.24 USD more", "BAB-1")
    walk.sees("closed through 2026-01-31", "late bills")

    walk.open("/books/")
    walk.ask(since="2026-02-01", to="2026-02-28")
    with walk.page.expect_navigation():
        walk.page.get_by_role("button", name="Show these days").click()
    walk.look()
    walk.sees("Revenue", "Margin", "Stock")
    walk.sees("late bills of closed months, sold", "8.24")
    walk.follow("purchases")
    walk.sees("41.20")
