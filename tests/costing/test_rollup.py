"""The roll-up, worked by hand."""

from decimal import Decimal as D
from fractions import Fraction

import pytest

from costing.domain.rollup import NANO, LotNode, difference, roll_up, sources
from production.buying.domain.bills import ExtraCost, LineBasis, delivered, split_extra
from production.quantities.domain.refusal import Refused
from tests.costing.flows import batch, bought, flow, made, nano, shown

# A month of a workshop: four purchases on one invoice, a cook, a dilution, a filling,
# a sale, a return that is destroyed, a spill. Worked by hand.

LINES = [
    LineBasis(D("21.50"), D("5300"), D("5000")),
    LineBasis(D("9.80"), D("1080"), D("1000")),
    LineBasis(D("4.00"), D("20400"), D("20000")),
    LineBasis(D("24.00"), D("1200"), D("40")),
]


def month():
    r1, r2, r3, r4 = split_extra(ExtraCost("freight", D("12.40"), "weight"), LINES)
    free, cook, dilution, filling = D(0), "B-1", "B-2", "B-3"
    lots = [
        bought(
            "R1",
            "5000",
            delivered(D("21.50"), free, [r1]),
            flow(1, "used", "-3000", cook),
        ),
        bought(
            "R2",
            "1000",
            delivered(D("9.80"), free, [r2]),
            flow(2, "used", "-640", cook),
            part="alkali",
        ),
        bought(
            "R3",
            "20000",
            delivered(D("4.00"), D("0.33"), [r3]),
            flow(3, "used", "-1400", cook),
            flow(4, "used", "-4000", dilution),
            part="water",
        ),
        bought(
            "R4",
            "40",
            delivered(D("24.00"), free, [r4]),
            flow(5, "used", "-20", filling),
            part="packaging",
        ),
        made(
            "P1",
            "4780",
            cook,
            flow(6, "used", "-2000", dilution),
            flow(7, "discarded", "-80"),
            expected="4850",
        ),
        made("D1", "5940", dilution, flow(8, "used", "-5200", filling)),
        made(
            "F1",
            "20",
            filling,
            flow(9, "sold", "-4", sale=1),
            flow(10, "returned", "1", sale=1),
            flow(11, "discarded", "-1"),
            expected="20",
        ),
    ]
    batches = [
        batch(cook, "P1", labour="46.25", overhead="8.00"),
        batch(dilution, "D1", labour="9.25"),
        batch(filling, "F1", labour="13.875"),
    ]
    return lots, batches


def test_freight_of_the_month_falls_by_weight():
    shares = split_extra(ExtraCost("freight", D("12.40"), "weight"), LINES)
    assert shares == [D("2.35"), D("0.48"), D("9.04"), D("0.53")]


def test_the_month_adds_up_to_the_totals_worked_by_hand():
    totals = roll_up(*month()).totals
    assert totals.purchases == nano("72.03")
    assert totals.making_cost == nano("77.375")
    assert round(D(totals.stock) / NANO, 6) == D("134.243862")
    assert round(D(totals.cost_of_goods_sold) / NANO, 6) == D("9.606225")
    assert round(D(totals.losses) / NANO, 6) == D("5.554913")
    assert (totals.opening, totals.work_in_progress) == (0, 0)
    assert difference(totals) == 0


def test_the_losses_of_the_month_are_told_apart():
    lots = roll_up(*month()).lots
    assert shown(lots["P1"].abnormal) == D("1.097991")
    assert shown(lots["F1"].taken[11]) == D("3.202075")
    assert shown(lots["P1"].taken[7]) == D("1.254847")


@pytest.mark.parametrize(
    ("code", "on_hand", "unit_cost", "value"),
    [
        ("R1", "2000", "0.004770", "9.540000"),
        ("R2", "360", "0.010280", "3.700800"),
        ("R3", "14600", "0.000669", "9.760100"),
        ("R4", "20", "0.613250", "12.265000"),
        ("P1", "2700", "0.015686", "42.351087"),
        ("D1", "740", "0.007289", "5.393675"),
        ("F1", "16", "3.202075", "51.233200"),
    ],
)
def test_the_lots_of_the_month(code, on_hand, unit_cost, value):
    lot = roll_up(*month()).lots[code]
    assert lot.amount_left == D(on_hand)
    # Half up, as a person rounds: R3 is 0.0006685 exactly.
    assert int(lot.unit_cost * 10**6 + Fraction(1, 2)) == int(D(unit_cost) * 10**6)
    assert shown(lot.left) == D(value)


def test_a_bottle_opens_down_to_what_was_bought_and_done():
    lots, batches = month()
    valuation = roll_up(lots, batches)
    opened = sources("F1", lots, batches, valuation)
    assert [(source.code, source.component) for source in opened] == [
        ("R1", "oil"),
        ("R2", "alkali"),
        ("R3", "water"),
        ("R4", "packaging"),
        ("B-1", "overhead"),
        ("B-1", "labour"),
        ("B-2", "labour"),
        ("B-3", "labour"),
    ]
    shares = {(source.code, source.component): source.nano for source in opened}
    assert shares["R4", "packaging"] == nano("0.61325")
    assert shares["B-3", "labour"] == nano("0.69375")
    unit = valuation.lots["F1"].unit_cost
    assert sum(source.exact for source in opened) == unit
    assert sum(shares.values()) == round(unit * NANO)


def test_components_keep_apart_on_their_way_to_the_bottle():
    # 60 of 100 g of oil at 10.00 and 3 h at 2.00 make 50 pieces; one is 0.24.
    lots = [
        bought("OIL", "100", "10", flow(1, "used", "-60", "B")),
        made("F", "50", "B", flow(2, "sold", "-5", sale=1)),
    ]
    value = roll_up(lots, [batch("B", "F", labour="6")]).lots["F"]
    assert value.start == {"oil": nano("6"), "labour": nano("6")}
    assert value.taken[2] == {"oil": nano("0.6"), "labour": nano("0.6")}
    assert value.unit_cost == Fraction(24, 100)


def test_the_last_out_takes_what_is_left():
    lot = LotNode(
        "L",
        D(3),
        {"oil": 100},
        True,
        None,
        None,
        tuple(flow(number, "discarded", "-1") for number in (1, 2, 3)),
    )
    value = roll_up([lot], []).lots["L"]
    # 100/3 = 33.3, then 67/2 = 33.5 up to 34, then the rest.
    assert [value.taken[number]["oil"] for number in (1, 2, 3)] == [33, 34, 33]
    assert value.left == {}
    assert value.amount_left == 0


def test_short_of_the_expected_the_rest_is_abnormal_loss():
    lots = [
        bought("OIL", "10", "42.50", flow(1, "used", "-10", "B")),
        made("P", "9.1", "B", expected="9.4"),
    ]
    valuation = roll_up(lots, [batch("B", "P")])
    assert valuation.lots["P"].unit_cost * 94 / 10 == pytest.approx(42.5, abs=1e-8)
    assert valuation.totals.abnormal == round(Fraction(3, 94) * nano("42.50"))
    assert difference(valuation.totals) == 0


def test_more_than_expected_lowers_the_unit_cost_and_is_no_gain():
    lots = [
        bought("OIL", "10", "46", flow(1, "used", "-10", "B")),
        made("P", "9.2", "B", expected="9"),
    ]
    valuation = roll_up(lots, [batch("B", "P")])
    assert valuation.lots["P"].unit_cost == 5
    assert valuation.totals.abnormal == 0


def test_an_unknown_price_travels_to_everything_made_from_it():
    lots = [
        bought("OIL", "10", "1", flow(1, "used", "-5", "B-1"), known=False),
        bought("KOH", "10", "4", flow(2, "used", "-5", "B-1"), part="alkali"),
        made("P", "8", "B-1", flow(3, "used", "-8", "B-2")),
        made("D", "16", "B-2", flow(4, "used", "-1", "B-3")),
    ]
    batches = [batch("B-1", "P"), batch("B-2", "D", labour="3"), batch("B-3", None)]
    valuation = roll_up(lots, batches)
    assert valuation.lots["D"].missing == {"OIL"}
    assert valuation.lots["D"].unit_cost is None
    assert valuation.lots["KOH"].missing == frozenset()
    assert valuation.in_progress["B-3"].missing == {"OIL"}
    assert valuation.missing == {"OIL"}
    # The freight of the oil and the alkali are known, and rolled.
    known = {"oil": nano("0.5"), "alkali": nano("2"), "labour": nano("3")}
    assert valuation.lots["D"].start == known
    assert valuation.lots["D"].known_unit_cost == Fraction(55, 160)
    assert difference(valuation.totals) == 0


@pytest.mark.parametrize("lots", [[], [made("P", "0", "B")]])
def test_an_open_batch_is_work_in_progress(lots):
    oil = bought("OIL", "10", "20", flow(1, "used", "-5", "B"))
    open_batch = batch("B", "P" if lots else None, energy="1.5")
    valuation = roll_up([oil, *lots], [open_batch])
    assert valuation.totals.work_in_progress == nano("11.5")
    inside = valuation.in_progress["B"].inside
    assert inside == {"oil": nano("10"), "energy": nano("1.5")}
    assert difference(valuation.totals) == 0


def test_what_is_not_made_yet_has_no_unit_cost_and_no_sources():
    lots, batches = [made("P", "0", "B")], [batch("B", "P", labour="5")]
    valuation = roll_up(lots, batches)
    assert valuation.lots["P"].unit_cost is None
    assert sources("P", lots, batches, valuation) == []


def test_a_credit_above_the_price_makes_a_negative_component():
    lots = [
        bought("FREE", "3", "-1", flow(1, "used", "-2", "B"), part="additive"),
        bought("OIL", "10", "20", flow(2, "used", "-5", "B")),
        made("P", "7", "B", flow(3, "discarded", "-7")),
    ]
    batches = [batch("B", "P")]
    valuation = roll_up(lots, batches)
    start = valuation.lots["P"].start
    assert start == {"additive": -666_666_667, "oil": nano("10")}
    assert valuation.lots["FREE"].left == {"additive": -333_333_333}
    opened = sources("P", lots, batches, valuation)
    assert [source.nano < 0 for source in opened].count(True) == 1
    assert sum(source.exact for source in opened) == valuation.lots["P"].unit_cost
    assert difference(valuation.totals) == 0


def test_opening_stock_is_no_purchase():
    totals = roll_up([bought("OLD", "10", "20", opening=True)], []).totals
    assert (totals.purchases, totals.opening) == (0, nano("20"))
    assert difference(totals) == 0


def test_goods_paid_before_they_arrive_are_stock_without_an_amount():
    valuation = roll_up([bought("SEA", "0", "20")], [])
    assert valuation.totals.stock == nano("20")
    assert valuation.lots["SEA"].unit_cost is None


def test_a_lot_made_from_itself_is_refused_by_name():
    lots = [
        made("P", "5", "B-1", flow(1, "used", "-1", "B-2")),
        made("D", "5", "B-2", flow(2, "used", "-1", "B-1")),
    ]
    with pytest.raises(Refused, match=r"Lot [PD] is made from itself"):
        roll_up(lots, [batch("B-1", "P"), batch("B-2", "D")])


def test_a_lot_below_zero_is_refused_by_name():
    with pytest.raises(Refused, match=r"Lot L goes below zero.*takes 11 "):
        roll_up([bought("L", "10", "1", flow(1, "discarded", "-11"))], [])


def test_an_amount_finer_than_a_milligram_is_an_error():
    with pytest.raises(ValueError, match=r"finer than 0\.001"):
        roll_up([bought("L", "10.0001", "1")], [])
