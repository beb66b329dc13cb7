"""Costing against textbooks, the standard, and a double-entry library.

IAS 2 is cited by clause. Where a book rounds a unit cost before multiplying, our
exact figure is asserted and the book's is named as the place where we differ.
"""

from decimal import Decimal as D
from fractions import Fraction

import pytest
from beancount import loader
from beancount.core.data import Transaction

from costing.domain.rollup import NANO, BatchNode, Flow, LotNode, difference, roll_up
from production.buying.domain.bills import ExtraCost, LineBasis, delivered, split_extra

FREE = D(0)


def nano(money):
    return int(D(money) * NANO)


def cents(value):
    return round(D(value) / NANO, 2)


def flow(number, kind, amount, batch=None, sale=None):
    return Flow(number, kind, D(amount), batch, sale)


def bought(code, amount, price, *flows, part="material"):
    return LotNode(code, D(amount), {part: nano(price)}, True, None, None, flows)


def made(code, amount, batch, *flows, expected=None):
    wanted = None if expected is None else D(expected)
    return LotNode(code, D(amount), {}, True, batch, wanted, flows)


def batch(code, lot, **work):
    return BatchNode(code, {kind: nano(cost) for kind, cost in work.items()}, lot)


# Stock of one item over a month: The Spy Who Loves You Corporation, OpenStax
# Principles of Accounting vol. 1 (Financial), 10.2 and 10.3 (CC BY-NC-SA 4.0):
# 150 at 21.00, sold 120, bought 225 at 27.00, sold 180, bought 210 at 33.00.
SPY_SALES = nano(120 * 36 + 180 * 39)


def spy_lots():
    """Book 10.2/10.3, specific identification: 120 + 20 of lot 1, 160 of lot 2."""
    return [
        bought(
            "LOT1",
            "150",
            "3150",
            flow(1, "sold", "-120", sale=1),
            flow(2, "sold", "-20", sale=2),
        ),
        bought("LOT2", "225", "6075", flow(3, "sold", "-160", sale=2)),
        bought("LOT3", "210", "6930"),
    ]


def ledger(method, *sales):
    """Book the same purchases and the given sales in a double-entry library."""
    return loader.load_string(
        f"""
        2026-01-01 open Assets:Stock "{method}"
        2026-01-01 open Assets:Cash
        2026-01-01 open Expenses:Sold
        2026-07-01 * "opening"
          Assets:Stock  150 UNIT {{21.00 USD, "LOT1"}}
          Assets:Cash
        2026-07-10 * "purchase"
          Assets:Stock  225 UNIT {{27.00 USD, "LOT2"}}
          Assets:Cash
        2026-07-25 * "purchase"
          Assets:Stock  210 UNIT {{33.00 USD, "LOT3"}}
          Assets:Cash
        """
        + "".join(
            f"""
        {day} * "sale"
          Assets:Stock  -{amount} UNIT {{{label}}}
          Expenses:Sold
        """
            for day, amount, label in sales
        ),
        dedent=True,
    )


def booked(entries):
    """The cost of each sale, and of what is left, as the library has them."""
    costs, left = [], D(0)
    for entry in entries:
        if not isinstance(entry, Transaction):
            continue
        for posting in entry.postings:
            if posting.account == "Assets:Stock":
                left += posting.units.number * posting.cost.number
        sold = [p.units.number for p in entry.postings if p.account == "Expenses:Sold"]
        costs += [sum(sold)] if sold else []
    return [nano(cost) for cost in costs], nano(left)


def test_specific_identification():
    """OpenStax vol. 1, 10.2/10.3: cost 7,260, left 8,895, gross margin 4,080."""
    totals = roll_up(spy_lots(), []).totals
    assert totals.cost_of_goods_sold == nano("7260")
    assert totals.stock == nano("8895")
    assert SPY_SALES - totals.cost_of_goods_sold == nano("4080")


def test_specific_identification_as_a_double_entry_library_books_it():
    """beancount 3, booking method STRICT, lots picked by label."""
    entries, errors, _ = ledger(
        "STRICT",
        ("2026-07-05", 120, '"LOT1"'),
        ("2026-07-15", 20, '"LOT1"'),
        ("2026-07-15", 160, '"LOT2"'),
    )
    assert not errors
    lots = roll_up(spy_lots(), []).lots
    ours = [lots["LOT1"].taken[1], lots["LOT1"].taken[2], lots["LOT2"].taken[3]]
    left = sum(lot.left.get("material", 0) for lot in lots.values())
    assert ([parts["material"] for parts in ours], left) == booked(entries)


def oldest_first():
    """The same, each sale out of the oldest lot that is left."""
    return [
        bought(
            "LOT1",
            "150",
            "3150",
            flow(1, "sold", "-120", sale=1),
            flow(2, "sold", "-30", sale=2),
        ),
        bought("LOT2", "225", "6075", flow(3, "sold", "-150", sale=2)),
        bought("LOT3", "210", "6930"),
    ]


def test_first_in_first_out():
    """OpenStax vol. 1, 10.2 and 10.3: 2,520 + 4,680; left 8,955; margin 4,140."""
    totals = roll_up(oldest_first(), []).totals
    assert totals.cost_of_goods_sold == nano("2520") + nano("4680")
    assert totals.stock == nano("8955")
    assert SPY_SALES - totals.cost_of_goods_sold == nano("4140")


def test_first_in_first_out_as_a_double_entry_library_books_it():
    """beancount 3, booking method FIFO."""
    entries, errors, _ = ledger(
        "FIFO", ("2026-07-05", 120, ""), ("2026-07-15", 180, "")
    )
    assert not errors
    valued = roll_up(oldest_first(), [])
    lots = valued.lots
    first = lots["LOT1"].taken[1]["material"]
    second = lots["LOT1"].taken[2]["material"] + lots["LOT2"].taken[3]["material"]
    assert ([first, second], valued.totals.stock) == booked(entries)


# What a purchase costs: IAS 2.10 and 2.11.


def test_freight_is_in_the_lot_and_a_unit_cost_is_never_stored_rounded():
    """OpenStax vol. 1, 6.5 (California Business Solutions): 30 at 80.00, freight
    1,000.00. 113.333333 x 30 would be 3,399.99999."""
    freight = split_extra(
        ExtraCost("freight", D("1000"), "value"), [LineBasis(D("2400"), None, D(30))]
    )
    cost = delivered(D("2400"), FREE, freight)
    assert cost == D("3400.00")
    lot = roll_up([bought("L", "30", cost)], []).lots["L"]
    assert lot.unit_cost == Fraction(340, 3)


def test_tax_that_comes_back_is_no_cost():
    """IAS 2.11: 100.00 less 5.00 discount, duty 4.00, freight 6.00, VAT 20.00 that
    is recovered."""
    shares = [D("-5"), D("4"), D("6")]
    assert delivered(D("100"), FREE, shares) == D("105")


def test_tax_that_does_not_come_back_is_cost():
    """IAS 2.11: the same with a sales tax of 8.25."""
    shares = [D("-5"), D("4"), D("6")]
    assert delivered(D("100"), D("8.25"), shares) == D("113.25")


THREE = [
    LineBasis(D("120"), D("10"), D("10")),
    LineBasis(D("45"), D("2"), D("5")),
    LineBasis(D("33"), D("25"), D("200")),
]
ALIKE = [LineBasis(D("7"), D("1"), D("1"))] * 3


@pytest.mark.parametrize(
    ("charge", "by", "lines", "shares"),
    [
        ("25.00", "value", THREE, ["15.15", "5.68", "4.17"]),
        ("25.00", "weight", THREE, ["6.76", "1.35", "16.89"]),
        ("25.00", "quantity", THREE, ["1.16", "0.58", "23.26"]),
        ("10.00", "value", ALIKE, ["3.34", "3.33", "3.33"]),
        ("-10.00", "value", ALIKE, ["-3.34", "-3.33", "-3.33"]),
        ("0.01", "value", ALIKE, ["0.01", "0.00", "0.00"]),
    ],
    ids=["C13", "C14", "C15", "C16", "C17", "C18"],
)
def test_one_charge_over_three_lines(charge, by, lines, shares):
    """IAS 2.11 puts freight in the cost; basis and residue are common practice, no
    source: largest remainder, ties to the lowest line, a credit the mirror image."""
    split = split_extra(ExtraCost("freight", D(charge), by), lines)
    assert split == [D(share) for share in shares]


def test_a_late_freight_bill_follows_what_was_used_already():
    """Common practice, no source: 4.50 on 9, of which 6 are used, is 3.00 to the
    users and 1.50 to the rest."""

    def rolled(price):
        lots = [
            bought("L", "9", price, flow(1, "used", "-6", "B")),
            made("P", "6", "B", flow(2, "sold", "-6", sale=1)),
        ]
        return roll_up(lots, [batch("B", "P")]).totals

    before, after = rolled("90.00"), rolled("94.50")
    assert after.stock - before.stock == nano("1.50")
    assert after.cost_of_goods_sold - before.cost_of_goods_sold == nano("3.00")


# What a batch costs and loses: IAS 2.12, 2.16(a).


def cooked(price, amount, made_amount, expected, **work):
    lots = [
        bought("IN", amount, price, flow(1, "used", f"-{amount}", "B")),
        made("OUT", made_amount, "B", expected=expected),
    ]
    valuation = roll_up(lots, [batch("B", "OUT", **work)])
    assert difference(valuation.totals) == 0
    return valuation.lots["OUT"], valuation.totals


def test_c20_normal_loss_raises_the_cost_of_what_is_left():
    """ACCA F2 study text, ch. 9 (heating process): 1,000 kg at 18.00, labour
    1,800.00, overhead 900.00, 10 % normal loss, 900 kg made: 23.00 a kg."""
    lot, totals = cooked("18000", "1000", "900", "900", labour="1800", overhead="900")
    assert lot.unit_cost == 23
    assert (totals.stock, totals.abnormal) == (nano("20700"), 0)


def test_c21_scrap_value_of_a_normal_loss_lowers_the_cost():
    """ACCA process-costing exercise: 2,000 kg for 10,000.00, 200 h at 12.00 + 3.00,
    5 % normal loss sold at 0.80 a kg: net 12,920.00, 6.80 a kg. The scrap's price is
    a negative making cost here."""
    lot, totals = cooked(
        "10000", "2000", "1900", "1900", labour="2400", overhead="600", material="-80"
    )
    assert lot.unit_cost == Fraction(68, 10)
    assert totals.stock == nano("12920")


def test_c22_evaporation_of_a_drink():
    """A published bookkeeping example (drink manufacturer, 10 % loss): 2,000 L for
    47,000.00 give 1,800 L at 26.11; exactly 235/9."""
    lot, _ = cooked("47000", "2000", "1800", "1800")
    assert lot.unit_cost == Fraction(235, 9)
    assert round(lot.unit_cost, 2) == Fraction(2611, 100)


def test_c23_abnormal_loss_is_expensed_at_the_normal_unit_cost():
    """ACCA F2 style exercise; IAS 2.16(a): 1,000 at 4.50, 10 % normal loss, 860
    made: 5.00 each, 4,300.00 of goods, 40 lost for 200.00."""
    lot, totals = cooked("4500", "1000", "860", "900")
    assert lot.unit_cost == 5
    assert (totals.stock, totals.abnormal) == (nano("4300"), nano("200"))


def test_c24_more_than_expected_is_no_profit():
    """The same exercise with 920 made. The book credits a gain of 20 x 5.00; IAS 2
    has no such entry, so the actual cost is shared by the actual output instead."""
    lot, totals = cooked("4500", "1000", "920", "900")
    assert lot.start == {"material": nano("4500")}
    assert lot.unit_cost == Fraction(4500, 920)
    assert totals.losses == 0


def test_c25_water_that_leaves_a_paste_beyond_the_expected_is_expensed():
    """Own example of IAS 2.16(a): 10 kg for 42.50, 6 % expected to leave, 9.1 kg
    made: 425/94 a kg, 41.14 of paste, 1.36 lost."""
    lot, totals = cooked("42.50", "10", "9.1", "9.4")
    assert abs(lot.unit_cost - Fraction(425, 94)) < Fraction(1, NANO)
    assert (cents(totals.stock), cents(totals.abnormal)) == (D("41.14"), D("1.36"))


def test_cost_flows_over_a_graph_of_lots_to_the_bottle():
    """Own example, worked in fractions: 9511/7375 a bottle; purchases 47.00 + 28.00
    packaging + 21.00 making cost = stock + cost of goods sold."""
    lots = [
        bought("R1", "10", "38.00", flow(1, "used", "-4", "B1"), part="oil"),
        bought("R2", "2", "9.00", flow(2, "used", "-0.85", "B1"), part="alkali"),
        bought(
            "W",
            "12",
            "0",
            flow(3, "used", "-6", "B1"),
            flow(4, "used", "-6", "B2"),
            part="water",
        ),
        bought("BOTTLE", "40", "24.80", flow(5, "used", "-40", "B3"), part="packaging"),
        bought("LABEL", "40", "3.20", flow(6, "used", "-40", "B3"), part="packaging"),
        made("P1", "10", "B1", flow(7, "used", "-6", "B2")),
        made("D1", "11.8", "B2", flow(8, "used", "-9.6", "B3")),
        made("F1", "40", "B3", flow(9, "sold", "-10", sale=1)),
    ]
    batches = [
        batch("B1", "P1", labour="12"),
        batch("B2", "D1", labour="3"),
        batch("B3", "F1", labour="6"),
    ]
    valuation = roll_up(lots, batches)
    value, totals = valuation.lots, valuation.totals
    assert value["P1"].unit_cost == Fraction(1241, 400)
    assert value["D1"].unit_cost == Fraction(4323, 2360)
    few = Fraction(5, NANO)
    assert abs(value["F1"].unit_cost - Fraction(9511, 7375)) < few
    assert cents(totals.cost_of_goods_sold) == D("12.90")
    assert abs(Fraction(totals.stock, NANO) - Fraction(122578, 1475)) < few
    assert totals.purchases + totals.making_cost == nano("96")
    assert difference(totals) == 0


def test_what_comes_back_is_restocked_or_destroyed_at_its_own_cost():
    """Own policy: of 10 sold at 1.25, 2 go back on hand and 1 is destroyed."""
    lot = bought(
        "F",
        "10",
        "12.50",
        flow(1, "sold", "-10", sale=1),
        flow(2, "returned", "2", sale=1),
        flow(3, "returned", "1", sale=1),
        flow(4, "discarded", "-1"),
    )
    totals = roll_up([lot], []).totals
    assert totals.cost_of_goods_sold == nano("8.75")
    assert totals.stock == nano("2.50")
    assert totals.discarded == nano("1.25")


def test_what_is_given_away_is_an_expense_and_never_cost_of_goods_sold():
    """IAS 2.34: tester, two gifts, a retained sample at 1.25 are 5.00 expensed."""
    lot = bought(
        "F",
        "10",
        "12.50",
        flow(1, "given", "-1"),
        flow(2, "given", "-2"),
        flow(3, "given", "-1"),
    )
    totals = roll_up([lot], []).totals
    assert (totals.given, totals.cost_of_goods_sold) == (nano("5.00"), 0)
