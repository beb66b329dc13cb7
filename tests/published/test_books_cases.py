"""The books against textbooks and IAS 2, through the whole app.

Purchases, batches and sales are recorded as the pages do it, and the books are asked.
IAS 2 is cited by clause. Where a book rounds a unit cost before multiplying, our exact
figure is asserted and the book's is named. "Own example" is worked out by hand here.
"""

import io
from collections import Counter
from datetime import date
from decimal import Decimal as D
from fractions import Fraction

import pytest
from django.core.management import CommandError, call_command

from costing.domain.realisable import HELD, OnShelf, propose
from costing.domain.redraw import redraw
from costing.domain.rollup import NANO, Flow, LotNode
from costing.reads import unit_costs
from costing.reads.books import books_between, books_on
from costing.reads.figures import view_of
from production.batches.actions.batches import run_batch
from production.batches.actions.new_batch import NewWork, Output, Use
from production.buying.actions.purchases import (
    NewExtra,
    NewLine,
    add_extra_cost,
    open_stock,
    record_purchase,
)
from production.buying.actions.suppliers import ensure_supplier
from production.closing.actions import close_book
from production.lots.actions.lot_deeds import give
from production.models import SaleLine
from production.quantities.domain.refusal import Refused
from production.selling.actions.customers import ensure_customer
from production.selling.actions.sales import NewSaleLine, sell, take_back
from production.stock.actions.opening_lots import NewLot
from tests import make

pytestmark = pytest.mark.django_db
JUNE, JULY = date(2026, 6, 30), date(2026, 7, 31)


def nano(figure):
    return int(D(figure) * NANO)


def cents(figure):
    return round(D(figure) / NANO, 2)


def on(day, month=7):
    return {"on": date(2026, month, day), "by": make.owner()}


def thing():
    return make.item("cased game", kind="packaging", unit="piece")


def opening(amount, each, code="LOT1"):
    return open_stock(
        item=thing(),
        lot=NewLot(D(amount), code=code),
        value=D(amount) * D(each),
        **on(30, 6),
    )


def bought(code, amount, each, day):
    price = str(D(amount) * D(each))
    when = date(2026, 7, day)
    return make.lot(code, grams=str(amount), price=price, item=thing(), on=when)


def sold(day, price, *picks):
    """So much of each lot at one price."""
    lines = [NewSaleLine(lot, D(amount), D(price)) for lot, amount in picks]
    return sell(lines=lines, customer=ensure_customer("Ada"), **on(day))


@pytest.fixture
def games():
    """The Spy Who Loves You Corporation, OpenStax Principles of Accounting vol. 1
    (Financial), 10.2 and 10.3 (CC BY-NC-SA 4.0): 150 at 21.00, sold 120 at 36.00,
    bought 225 at 27.00, sold 180 at 39.00, bought 210 at 33.00. The picks are those of
    the book's specific identification: 120, then 20 of lot 1 and 160 of lot 2."""
    first = opening(150, "21.00")
    sold(5, "36.00", (first, 120))
    second = bought("LOT2", 225, "27.00", 10)
    sold(15, "39.00", (first, 20), (second, 160))
    bought("LOT3", 210, "33.00", 25)


@pytest.mark.parametrize(
    ("case", "method", "cost", "left", "margin"),
    [
        ("C01", "lots", "7260.00", "8895.00", "4080.00"),
        ("C02", "fifo", "7200.00", "8955.00", "4140.00"),
        ("C03", "fifo", "7200.00", "8955.00", "4140.00"),
    ],
)
def test_stock_of_a_month_by_its_formula(games, case, method, cost, left, margin):
    """OpenStax vol. 1, 10.2 (C02) and 10.2/10.3 (C01, C03): first in, first out is the
    same at the end of the period and sale by sale."""
    for books in (
        books_on(JULY, method),
        books_between(date(2026, 7, 1), JULY, method),
    ):
        assert books.figures.cost_of_goods_sold == nano(cost)
        assert books.figures.stock == nano(left)
        assert books.revenue == nano("11340.00")
        assert books.margin == nano(margin)


def by_sale(method):
    found = Counter()
    for flow in view_of(JULY, method).flows():
        if flow.kind == "sold":
            found[flow.on] += sum(flow.parts.values())
    return [found[day] for day in sorted(found)]


def test_C03_each_sale_takes_the_oldest(games):
    """OpenStax vol. 1, 10.3: 2,520.00, then 30 at 21.00 and 150 at 27.00."""
    assert by_sale("fifo") == [nano("2520.00"), nano("4680.00")]


def test_C05_the_moving_average(games):
    """OpenStax vol. 1, 10.3, exactly: 120 at 21.00, then 180 at 447/17. The book
    multiplies by 26.29 and prints 7,253 and 8,902."""
    exact = 120 * 21 + 180 * Fraction(447, 17)
    figures = books_on(JULY, "average").figures
    assert abs(figures.cost_of_goods_sold - exact * NANO) < 1
    assert cents(figures.cost_of_goods_sold) == D("7252.94")
    assert cents(figures.stock) == D("8902.06")
    [row] = books_on(JULY, "average").stock
    assert round(D(row.value) / NANO / row.amount, 2) == D("31.24")


def of_the_period(formula, opened, came, issued):
    """An average of the period (IAS 2.27): what came stands before what went."""
    rows = [opened, *came]
    lots = [
        LotNode(
            f"L{n}", D(amount), {"x": nano(D(amount) * D(each))}, True, None, None, ()
        )
        for n, (amount, each) in enumerate(rows)
    ]
    last = lots.pop()
    flow = Flow(1, "sold", -D(issued), sale=1)
    last = LotNode(last.code, last.started, last.bought, True, None, None, (flow,))
    lots.append(last)
    events = [(node.code, None) for node in lots] + [(last.code, 1)]
    pools = {node.code: "x" for node in lots}
    return redraw(lots, [], events, pools, lambda pool: formula).valuation.totals


def test_C04_the_average_of_the_period():
    """OpenStax vol. 1, 10.2, exactly: 585 for 16,155.00 is 359/13. The book multiplies
    by 27.62 and prints 8,283 and 7,872."""
    moves = [(225, "27.00"), (210, "33.00")]
    totals = of_the_period("average", (150, "21.00"), moves, 300)
    assert totals.cost_of_goods_sold + totals.stock == nano("16155.00")
    assert cents(totals.cost_of_goods_sold) == D("8284.62")
    assert cents(totals.stock) == D("7870.38")


def test_C07_both_formulas_over_a_period():
    """OpenStax vol. 1, 10.2 exercise (Akira Company): 150 at 10.00, 160 at 12.00, 130
    at 15.00, 50 left. The inputs are published, the answers worked out by hand."""
    came = [(160, "12.00"), (130, "15.00")]
    fifo = of_the_period("fifo", (150, "10.00"), came, 390)
    assert (fifo.stock, fifo.cost_of_goods_sold) == (nano("750.00"), nano("4620.00"))
    average = of_the_period("average", (150, "10.00"), came, 390)
    assert cents(average.stock) == D("610.23")
    assert cents(average.cost_of_goods_sold) == D("4759.77")


def test_C06_last_in_first_out_is_refused(games):
    """IAS 2.25 knows first in, first out, and the weighted average, and no more."""
    with pytest.raises(Refused, match=r"IAS 2\.25"):
        books_on(JULY, "lifo")
    with pytest.raises(CommandError, match=r"IAS 2\.25"):
        call_command("books", "--method", "lifo", stdout=io.StringIO())


@pytest.mark.parametrize(
    ("method", "cost", "left"),
    [("fifo", "37500.00", "33700.00"), ("average", "38142.86", "33057.14")],
)
def test_C08_both_formulas_sale_by_sale(method, cost, left):
    """OpenStax vol. 1, 10.3 exercises (A65/A67 Company): 800 at 50.00, 600 at 52.00,
    sold 400 and 350. The inputs are published, the answers worked out by hand."""
    first = opening(800, "50.00")
    second = bought("LOT2", 600, "52.00", 3)
    sold(8, "90.00", (second, 400))
    sold(9, "90.00", (first, 350))
    figures = books_on(JULY, method).figures
    assert (cents(figures.cost_of_goods_sold), cents(figures.stock)) == (
        D(cost),
        D(left),
    )


def invoice(price, *extras, tax="0", recoverable="0", amount="30"):
    line = NewLine(
        item=thing(),
        lots=[NewLot(D(amount), code="LOT1")],
        price=D(price),
        tax=D(tax),
        recoverable_tax=D(recoverable),
    )
    return record_purchase(
        number="INV-1",
        supplier=ensure_supplier("Clearwick Packaging"),
        lines=[line],
        extra_costs=[NewExtra(kind, D(sum_), "value") for kind, sum_ in extras],
        **on(2),
    )


def test_C09_freight_in_is_in_the_stock():
    """OpenStax vol. 1, 6.5 (California Business Solutions): 30 at 80.00 and 1,000.00 of
    freight are 3,400.00; a third of them sold takes 1,133.33 and a third of a cent."""
    purchase = invoice("2400.00", ("freight", "1000.00"))
    lot = purchase.lines.get().lots.get()
    figures = books_on(JULY).figures
    assert (figures.purchases, figures.stock) == (nano("3400"), nano("3400"))
    [each] = unit_costs([lot]).values()
    assert round(each, 6) == D("113.333333")
    sold(4, "200.00", (lot, 10))
    sold(5, "200.00", (lot, 20))
    figures = books_on(JULY).figures
    assert (figures.stock, figures.cost_of_goods_sold) == (0, nano("3400"))


def test_C10_freight_out_is_no_stock():
    """OpenStax vol. 1, 6.5; IAS 2.16(d): 100.00 for carriage to a customer, billed on a
    line that is not stocked, is in no lot, no purchase of stock, no cost of sales."""
    billed = NewLine(item=None, text="carriage to a customer", price=D("100.00"))
    record_purchase(
        number="SHIP-1", supplier=ensure_supplier("Carrier"), lines=[billed], **on(3)
    )
    figures = books_on(JULY).figures
    assert (figures.purchases, figures.stock) == (0, 0)
    assert figures.cost_of_goods_sold == 0


PARTS = (("credit", "-5.00"), ("duty", "4.00"), ("freight", "6.00"))


@pytest.mark.parametrize(
    ("case", "tax", "recoverable", "cost"),
    [("C11", "0", "20.00", "105.00"), ("C12", "8.25", "0", "113.25")],
)
def test_what_a_purchase_costs(case, tax, recoverable, cost):
    """IAS 2.11: 100.00 less 5.00 of discount, 4.00 duty, 6.00 freight; 20.00 of VAT
    that comes back is no cost (C11), 8.25 of sales tax that does not is (C12)."""
    purchase = invoice("100.00", *PARTS, tax=tax, recoverable=recoverable)
    assert books_on(JULY).figures.purchases == nano(cost)
    price = purchase.lines.get().prices.get()
    assert price.recoverable_tax == D(recoverable)


def test_C19_a_late_bill_follows_what_was_sold():
    """Common practice, no source: 4.50 on a lot of 9, of which 6 are sold and closed,
    is 1.50 in stock and 3.00 sold, and the closed month stays."""
    lot = bought("LOT1", 9, "10.00", 2)
    sold(3, "20.00", (lot, 6))
    close_book(through=JULY, **on(3, 8))
    add_extra_cost(
        purchase=lot.line.purchase, kind="freight", amount=D("4.50"), **on(10, 8)
    )
    assert books_on(JULY).figures.purchases == nano("90.00")
    august = books_between(date(2026, 8, 1), date(2026, 8, 31))
    late = august.figures.late
    assert (late.stock, late.sold, late.lost) == (nano("1.50"), nano("3.00"), 0)
    assert august.figures.purchases == nano("4.50")
    assert august.figures.cost_of_goods_sold == 0


def shelf(amount, cost, price, **facts):
    return OnShelf(
        "x", D(amount), nano(D(amount) * D(cost)), Fraction(D(price)), **facts
    )


def test_C40_lower_of_cost_and_nrv_by_item():
    """OpenStax vol. 1, 10.1 exercise, read as net realisable value; IAS 2.29: 10 at
    36.00 bring 35.00, 25 at 20.00 bring 20.00, 12 at 6.00 bring 8.00. By item 922.00;
    all together it would be 932.00, which 2.29 does not want."""
    rows = [shelf(10, "36", "35"), shelf(25, "20", "20"), shelf(12, "6", "8")]
    found = propose(rows)
    assert sum(one.carried for one in found) == nano("922.00")
    assert [one.less for one in found] == [nano("10.00"), 0, 0]
    together = min(sum(row.value for row in rows), sum(row.realisable for row in rows))
    assert together == nano("932.00")


def test_C41_a_material_is_not_written_down_while_its_product_sells():
    """IAS 2.32 (the clause from memory): oil that cost 40.00 would cost 30.00 today,
    and what is made of it for 90.00 brings 120.00."""
    [found] = propose([shelf(1, "40", "30", serves=True, sells=True)])
    assert (found.less, found.says) == (0, HELD)


def bottles(pieces="10", price="12.50", **facts):
    item = make.item("hand soap 250", kind="made", unit="piece")
    return make.proven("F1", grams=pieces, price=price, item=item, on=date(2026, 7, 2))


def test_C48_what_comes_back_is_restocked_or_destroyed_at_its_own_cost():
    """Own policy: of 10 sold at 1.25, 2 go back into stock and 1 is destroyed: 8.75
    sold, 2.50 in stock, 1.25 lost."""
    lot = bottles()
    sold(3, "4.00", (lot, 10))
    line = SaleLine.objects.get()
    facts = {"line": line, **on(5)}
    take_back(amount=D(2), then="restock", **facts)
    take_back(amount=D(1), then="destroy", **facts)
    for method in ("lots", "fifo", "average"):
        figures = books_on(JULY, method).figures
        assert figures.cost_of_goods_sold == nano("8.75")
        assert figures.stock == nano("2.50")
        assert figures.losses["discarded"] == nano("1.25")
        assert figures.revenue == nano("28.00")


def test_C49_what_is_given_away_is_an_expense_and_no_cost_of_sales():
    """IAS 2.34: a tester, two gifts and a retained sample at 1.25 are 5.00; which line
    they stand on is common practice, no source."""
    lot = bottles()
    for why, pieces in (("tester", 1), ("gift", 2), ("retained", 1)):
        give(lot=lot, amount=D(pieces), why=why, recipient="Cy", **on(4))
    figures = books_on(JULY).figures
    assert figures.losses["given"] == nano("3.75")
    assert figures.losses["samples"] == nano("1.25")
    assert figures.lost == nano("5.00")
    assert figures.cost_of_goods_sold == 0


def test_C50_storage_that_making_needs_is_cost_and_that_of_bottles_is_not():
    """IAS 2.16(b): 5.00 of a rest before bottling are work on its batch and in the
    stock; 7.00 of a shelf for finished bottles, billed on a line that is not stocked,
    are in none."""
    soap = make.proven("S1", grams="1000", price="10.00", on=date(2026, 7, 2))
    run_batch(
        stage="dilution",
        uses=[Use(D(1000), lot=soap)],
        output=Output(D(1000), item=make.item("rested soap", kind="made")),
        work=[NewWork("overhead", D("2.5"), D("2.00"))],
        **on(3),
    )
    rent = NewLine(item=None, text="shelf for bottles", price=D("7.00"))
    record_purchase(
        number="RENT", supplier=ensure_supplier("Landlord"), lines=[rent], **on(4)
    )
    figures = books_on(JULY).figures
    assert figures.stock == nano("15.00")
    assert (figures.making, figures.lost) == ({"overhead": nano("5.00")}, 0)


def test_C47_from_the_oil_to_the_bottle_and_the_sale():
    """Own example, worked in fractions: 9511/7375 a bottle. Purchases 47.00 + 28.00 of
    packaging + 21.00 of work = 96.00 = stock + cost of goods sold."""
    day = date(2026, 7, 2)
    soap = make.item("soap base", category="soap")
    oil = make.proven("R1", grams="10000", price="38.00", on=day, item=soap)
    lye = make.lot(
        "R2",
        grams="2000",
        price="9.00",
        on=day,
        item=make.item("salt", category="salt"),
    )
    tap = make.item("tap water", category="water", on_tap=True, tap_price=D(0))
    bottle = make.item("bottle", kind="packaging", unit="piece")
    label = make.item("label", kind="packaging", unit="piece")
    bottle = make.lot("BOTTLE", grams="40", price="24.80", item=bottle, on=day)
    label = make.lot("LABEL", grams="40", price="3.20", item=label, on=day)

    def batch(stage, makes, amount, uses, hours, unit="g"):
        return run_batch(
            stage=stage,
            uses=uses,
            output=Output(
                D(amount),
                item=make.item(makes, kind="made", unit=unit),
                status="released",
            ),
            work=[NewWork("labour", D(hours), D("1.00"))],
            **on(4),
        )

    paste = batch(
        "preparation",
        "paste",
        "10000",
        [Use(D(4000), lot=oil), Use(D(850), lot=lye), Use(D(6000), item=tap)],
        12,
    )
    thin = batch(
        "dilution",
        "thin",
        "11800",
        [Use(D(6000), lot=paste), Use(D(6000), item=tap)],
        3,
    )
    filled = batch(
        "filling",
        "bottle of soap",
        "40",
        [Use(D(9600), lot=thin), Use(D(40), lot=bottle), Use(D(40), lot=label)],
        6,
        unit="piece",
    )
    assert cents(nano(unit_costs([filled])[filled.pk])) == D("1.29")
    few = Fraction(5, NANO)
    [each] = unit_costs([filled]).values()
    assert abs(Fraction(each) - Fraction(9511, 7375)) < few
    sold(6, "4.00", (filled, 10))
    for method in ("lots", "fifo", "average"):
        figures = books_on(JULY, method).figures
        assert cents(figures.cost_of_goods_sold) == D("12.90")
        assert abs(Fraction(figures.stock, NANO) - Fraction(122578, 1475)) < few
        assert figures.purchases == nano("75.00")
        assert figures.making_cost == nano("21.00")
        assert figures.purchases + figures.making_cost == nano("96.00")
        assert figures.difference == 0
        assert (
            books_on(JULY, method).margin == nano("40.00") - figures.cost_of_goods_sold
        )
