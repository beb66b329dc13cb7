"""Goods come in: a purchase, its lots, its prices and its extra costs."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from production.buying.actions.purchases import (
    NewExtra,
    NewLine,
    add_extra_cost,
    price_line,
    record_purchase,
)
from production.buying.actions.suppliers import ensure_supplier
from production.models import (
    Deed,
    ExtraCost,
    LinePrice,
    Movement,
    Purchase,
    PurchaseLine,
)
from production.stock.actions.opening_lots import NewLot, Reading
from production.stock.reads.stock import status_on
from production.workshop.actions.cards import ensure_place
from tests import make
from tests.make import DAY, act, day

pytestmark = pytest.mark.django_db
GRAMS = Decimal("5000")


def supplier():
    return ensure_supplier("Northmere Oils")


def line(**facts):
    facts = {"item": make.item(), "lots": [NewLot(GRAMS)], **facts}
    return NewLine(**facts)


def buy(*lines, **facts):
    return record_purchase(
        supplier=supplier(), lines=lines or [line()], **{**act(), **facts}
    )


def extra(kind="freight", amount="12.50"):
    return NewExtra(kind=kind, amount=Decimal(amount))


class TestWhatItWrites:
    def test_a_line_its_lot_its_price_and_an_entry_in_the_stock_book(self):
        lot = NewLot(GRAMS, code="OIL-7", supplier_lot="NM 8841/b", typed="5 kg")
        purchase = buy(line(lots=[lot], price=Decimal("23.75"), tax=Decimal("4.75")))
        row = purchase.lines.get()
        assert (row.position, row.item.name, row.amount) == (1, "rapeseed oil", GRAMS)
        price = row.prices.get()
        assert (price.price, price.tax) == (Decimal("23.75"), Decimal("4.75"))
        got = row.lots.get()
        assert (got.code, got.supplier_lot) == ("OIL-7", "NM 8841/b")
        entry = got.movements.get()
        assert (entry.kind, entry.amount, entry.on) == ("received", GRAMS, DAY)
        assert (entry.place.name, entry.typed) == ("workshop", "5 kg")
        assert entry.deed == purchase.deed == got.deed

    def test_one_line_may_come_as_several_lots(self):
        lots = [NewLot(Decimal(2000)), NewLot(Decimal(3000))]
        row = buy(line(lots=lots)).lines.get()
        assert row.amount == GRAMS
        assert sorted(make.on_hand(lot) for lot in row.lots.all()) == [2000, 3000]

    def test_a_line_that_is_not_stocked_only_makes_the_invoice_add_up(self):
        purchase = buy(line(), NewLine(None, text="apron", price=Decimal("9.90")))
        apron = purchase.lines.get(position=2)
        assert (apron.text, apron.item, apron.lots.count()) == ("apron", None, 0)
        assert apron.prices.get().price == Decimal("9.90")

    def test_order_arrival_and_invoice_are_three_dates(self):
        purchase = buy(on=day(9), ordered=day(3), invoiced=day(12))
        dates = (purchase.ordered, purchase.arrived, purchase.invoiced)
        assert dates == (day(3), day(9), day(12))

    def test_the_business_date_and_the_moment_of_typing_are_two_clocks(self):
        deed = buy(on=day(5)).deed
        assert deed.on == day(5)
        assert abs(timezone.now() - deed.at) < timedelta(minutes=5)

    def test_readings_of_a_lot_keep_stated_and_measured_apart(self):
        lot = make.koh("0.9", "0.01")
        assert set(lot.measurements.values_list("what", "basis", "value")) == {
            ("purity", "stated", Decimal("0.9")),
            ("carbonate", "stated", Decimal("0.01")),
        }

    def test_what_the_document_of_a_fragrance_says_is_kept_with_its_lot(self):
        held = {"Linalool": Decimal("0.031"), "Limonene": Decimal("0.4")}
        scent = make.item("orange oil", category="fragrance")
        lot = NewLot(Decimal(100), constituents=held)
        [got] = buy(line(item=scent, lots=[lot])).lines.get().lots.all()
        assert dict(got.constituents.values_list("inci", "share")) == held

    def test_goods_go_to_the_place_that_is_named(self):
        shed = ensure_place("shed")
        lot = buy(place=shed).lines.get().lots.get()
        assert lot.movements.get().place == shed

    def test_extra_costs_known_so_far_are_written_with_it(self):
        bill = buy(extra_costs=[extra(), extra("credit", "-3")]).extra_costs
        assert list(bill.values_list("kind", "amount")) == [
            ("freight", Decimal("12.5")),
            ("credit", Decimal(-3)),
        ]

    def test_a_foreign_invoice_keeps_its_rate(self):
        assert buy(rate=Decimal("1.0875")).rate == Decimal("1.0875")

    def test_purchases_without_a_number_are_numbered_one_after_another(self):
        first, second = buy(), buy()
        assert [first.number[:2], second.number[:2]] == ["P-", "P-"]
        assert int(second.number[2:]) == int(first.number[2:]) + 1


class TestFirstStatus:
    def test_bought_lots_are_released(self):
        assert status_on(make.lot(), DAY) == "released"

    def test_a_lot_of_an_item_that_asks_for_a_check_waits_in_quarantine(self):
        clay = make.item("kaolin", needs_check=True)
        lot = make.lot(item=clay)
        assert status_on(lot, DAY) == "quarantine"
        assert status_on(lot, day(1)) == ""


class TestLaterPrices:
    def test_goods_may_come_before_their_price(self):
        row = buy().lines.get()
        assert not row.prices.exists()
        price_line(line=row, price=Decimal("21.40"), **act(20))
        assert row.prices.get().price == Decimal("21.40")

    def test_a_better_price_is_written_beside_the_first(self):
        row = buy(line(price=Decimal(20))).lines.get()
        price_line(line=row, price=Decimal(22), **act(20))
        assert [price.price for price in row.prices.all()] == [20, 22]

    def test_a_freight_bill_that_comes_late_keeps_its_invoice_date(self):
        bill = add_extra_cost(
            purchase=buy(),
            kind="freight",
            amount=Decimal(18),
            by_basis="value",
            invoiced=day(8),
            **act(20),
        )
        assert (bill.invoiced, bill.by, bill.deed.on) == (day(8), "value", day(20))

    def test_the_same_key_prices_a_line_once(self):
        row = buy().lines.get()
        make.sent_twice(price_line, line=row, price=Decimal(9), **act())
        assert LinePrice.objects.count() == 1

    def test_the_same_key_books_a_bill_once(self):
        make.sent_twice(
            add_extra_cost,
            purchase=buy(),
            kind="duty",
            amount=Decimal(9),
            **act(),
        )
        assert ExtraCost.objects.count() == 1

    def test_a_negative_late_price_is_refused(self):
        row = buy().lines.get()
        with make.refused("negative price", "credit"):
            price_line(line=row, price=Decimal(-1), **act())


class TestWhatItRefuses:
    def test_a_purchase_without_lines(self):
        house = supplier()
        with make.refused("at least one line"):
            record_purchase(supplier=house, lines=[], **act())

    @pytest.mark.parametrize(
        ("facts", "says"),
        [
            ({"lots": []}, "Line 1, rapeseed oil: write how much arrived"),
            ({"lots": [NewLot(Decimal(0))]}, "more than nothing"),
            ({"lots": [NewLot(Decimal(-5))]}, "more than nothing"),
            ({"lots": [NewLot(Decimal("0.0001"))]}, "finer than 0.001"),
            ({"lots": [NewLot(Decimal("1e15"))]}, "too large to be meant"),
            ({"price": Decimal(-2)}, "A rebate is an extra cost of the kind credit"),
            ({"tax": Decimal(-2), "price": Decimal(1)}, "negative price"),
            ({"item": None, "text": "?"}, "say what item arrived"),
            ({"item": None, "lots": []}, "or what was billed"),
        ],
    )
    def test_a_line_that_cannot_be(self, facts, says):
        new, house = line(**facts), supplier()
        with make.refused(says):
            record_purchase(supplier=house, lines=[new], **act())

    def test_half_a_bottle(self):
        kind = make.item("bottle 250", kind="packaging", unit="piece")
        new = line(item=kind, lots=[NewLot(Decimal("1.5"))])
        house = supplier()
        with make.refused("counted in whole pieces", "1.5"):
            record_purchase(supplier=house, lines=[new], **act())

    @pytest.mark.parametrize(
        ("purity", "says"),
        [("90", "90 %"), ("-0.1", "below nothing"), ("1.000001", "1.000001 %")],
    )
    def test_a_purity_that_is_not_a_share(self, purity, says):
        reading = Reading("purity", Decimal(purity), "stated")
        new = line(lots=[NewLot(GRAMS, readings=(reading,))])
        house = supplier()
        with make.refused("purity", says):
            record_purchase(supplier=house, lines=[new], **act())

    def test_a_code_that_is_taken(self):
        make.lot("OIL-7")
        new, house = line(lots=[NewLot(GRAMS, code="OIL-7")]), supplier()
        with make.refused("OIL-7 is taken", "leave it empty"):
            record_purchase(supplier=house, lines=[new], **act())

    def test_a_number_that_is_taken(self):
        buy(number="2026/17")
        new, house = line(), supplier()
        with make.refused("Northmere Oils has sent 2026/17 already"):
            record_purchase(supplier=house, lines=[new], number="2026/17", **act())

    @pytest.mark.parametrize(("kind", "amount"), [("credit", "3"), ("freight", "-3")])
    def test_an_extra_cost_with_the_wrong_sign(self, kind, amount):
        new, house, bill = line(), supplier(), extra(kind, amount)
        with make.refused(f"{kind.capitalize()} of {amount}", "with a minus"):
            record_purchase(supplier=house, lines=[new], extra_costs=[bill], **act())

    def test_a_fault_in_the_last_line_leaves_nothing_of_the_first(self):
        good, bad, house = line(), line(price=Decimal(-1)), supplier()
        with make.refused("Line 2"):
            record_purchase(supplier=house, lines=[good, bad], **act())
        assert not Purchase.objects.exists()
        assert not PurchaseLine.objects.exists()
        assert not Movement.objects.exists()


class TestKeys:
    def test_the_same_key_answers_with_the_first_purchase(self):
        purchase = make.sent_twice(
            record_purchase, supplier=supplier(), lines=[line()], **act()
        )
        assert isinstance(purchase, Purchase)
        assert Deed.objects.count() == 1

    def test_a_key_of_another_deed_is_refused(self):
        row = buy(key="form-9").lines.get()
        with make.refused("already sent for something else", "Open it again"):
            price_line(line=row, price=Decimal(1), **act(key="form-9"))

    def test_a_refused_form_may_be_mended_and_sent_again_with_its_key(self):
        bad, good = line(price=Decimal(-1)), line(price=Decimal(1))
        house = supplier()
        with make.refused("negative"):
            record_purchase(supplier=house, lines=[bad], **act(key="form-9"))
        assert buy(good, key="form-9").deed.key == "form-9"
