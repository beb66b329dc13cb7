"""The sales tax of a line, what is left as revenue, and what a return takes back.

IFRS 15.47: what is collected for the authority is no part of the price. The figures are
worked by hand.
"""

from decimal import Decimal as D

import pytest

from production.correcting.actions.putting_right import put_right
from production.exchange.domain import write
from production.exchange.reads import history_events
from production.record.reads.restated import OF
from production.selling.actions.sales import NewSaleLine, sell, take_back
from production.selling.domain.sales_tax import INSIDE, ON_TOP, Taxed, taxed
from production.selling.models import Sale
from production.selling.reads.revenue import in_all, revenues_of, sale_revenues
from tests import make

pytestmark = pytest.mark.django_db


def line(price, amount, rate=None, tax_is=ON_TOP, typed=None):
    return taxed(
        None if price is None else D(price),
        D(amount),
        rate=None if rate is None else D(rate),
        tax_is=tax_is,
        typed=None if typed is None else D(typed),
    )


@pytest.mark.parametrize(
    ("found", "gross", "tax", "net"),
    [
        # 3 at 9.00 with 8.25 % on top: 27.00, 2.2275 of tax, to the cent 2.23.
        (line("9", "3", "0.0825"), "29.23", "2.23", "27"),
        # The same with 20 % inside: 27.00 / 1.2 = 22.50.
        (line("9", "3", "0.2", INSIDE), "27", "4.5", "22.5"),
        # The paper says 2.25, whatever the rate gives.
        (line("9", "3", "0.0825", typed="2.25"), "29.25", "2.25", "27"),
        (line("9", "3", "0.2", INSIDE, "4"), "27", "4", "23"),
        # Nobody said anything of tax.
        (line("9", "3"), "27", "0", "27"),
        # Half a cent goes up: 0.10 at 5 % is 0.005.
        (line("0.10", "1", "0.05"), "0.11", "0.01", "0.10"),
    ],
)
def test_of_a_line(found, gross, tax, net):
    assert (found.gross, found.tax, found.net) == (D(gross), D(tax), D(net))


def test_a_line_without_a_price_brought_nobody_knows_what():
    assert line(None, "3", "0.2") is None


def test_shares_of_a_line_add_up_to_it():
    whole = Taxed(D("10"), D("1.67"))
    parts = [whole.share(D(n), D(3)) for n in (1, 2, 3)]
    assert parts[0].gross == D("3.333333333")
    assert parts[2] == whole
    back = parts[2].less(parts[1])
    assert back.gross + parts[1].gross == whole.gross
    assert back.net + parts[1].net == whole.net


@pytest.fixture
def soap(owner):
    item = make.item("hand wash", kind="made", unit="piece")
    return make.proven("F1", grams="20", item=item)


def act(number):
    return {"on": make.day(number), "by": make.owner()}


def sold(soap, number=5, **facts):
    lines = [NewSaleLine(soap, D(3), D(9)), NewSaleLine(soap, D(2), D(9), tax=D(1))]
    return sell(lines=lines, channel="stall", **act(number), **facts)


def money(rows):
    found = in_all(rows)
    return found.gross, found.tax, found.net


def test_sales_and_returns_on_their_days(soap):
    """3 at 9.00 with 8.25 % on top and 2 with 1.00 of tax as typed; one of the three
    comes back on the 9th: a third of 27.00 and of 2.23."""
    sale = sold(soap, tax_rate=D("0.0825"))
    first = sale.lines.order_by("position")[0]
    take_back(line=first, amount=D(1), then="restock", **act(9))
    rows = sale_revenues(None, make.day(8))
    assert money(rows) == (D("48.23"), D("3.23"), D("45"))
    [back] = sale_revenues(make.day(8), make.day(31))
    assert (back.back, back.amount) == (True, -1)
    assert back.net == -9
    assert round(back.tax, 9) == D("-0.743333333")
    take_back(line=first, amount=D(2), then="restock", **act(10))
    assert money(sale_revenues()) == (D("19"), D("1"), D("18"))
    assert sum(row.net for row in revenues_of([sale.pk])[sale.pk]) == 18


def test_what_was_typed_wrong_is_put_right(soap):
    sale = sold(soap, tax_rate=D("0.0825"))
    figures = {"tax_rate": D("0.2"), "tax_is": INSIDE}
    put_right(of=OF.SALE, row=sale.pk, figures=figures, reason="tax is in", **act(6))
    second = sale.lines.order_by("position")[1]
    put_right(
        of=OF.SALE_LINE,
        row=second.pk,
        figures={"tax": None},
        reason="by the rate",
        **act(6),
    )
    # 27.00 and 18.00 with 20 % inside: 22.50 and 15.00.
    assert money(sale_revenues()) == (D("45"), D("7.5"), D("37.5"))
    told = [event for event in history_events() if event["type"] == "sale"]
    assert told[0]["tax_rate"] == "0.2"
    assert told[0]["tax_is"] == "inside"
    assert "tax" not in told[0]["lines"][1]
    assert write("USD", history_events())


@pytest.mark.parametrize("rate", ["-0.01", "1", "8.25"])
def test_no_rate_below_nothing_or_of_the_whole(soap, rate):
    with make.refused("8.25 %"):
        sold(soap, tax_rate=D(rate))
    assert not Sale.objects.exists()


def test_no_tax_below_nothing(soap):
    with make.refused("Line 1", "below zero"):
        sell(
            lines=[NewSaleLine(soap, D(1), D(9), tax=D(-1))],
            channel="stall",
            **act(5),
        )
    sale = sold(soap)
    row = sale.lines.first()
    with make.refused("below zero"):
        put_right(
            of=OF.SALE_LINE,
            row=row.pk,
            figures={"tax": D(-1)},
            reason="odd",
            **act(6),
        )
