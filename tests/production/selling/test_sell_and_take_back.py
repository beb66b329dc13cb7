"""Bottles leave, and some come back."""

from decimal import Decimal

import pytest

from production.correcting.actions.undoing import undo_deed
from production.lots.actions.lot_deeds import move_lot
from production.models import Return, Sale
from production.release.actions.statuses import hold_lot, release_lot
from production.selling.actions import sales as deeds
from production.selling.actions.customers import ensure_customer
from production.selling.actions.sales import NewSaleLine, take_back
from production.stock.reads.stock import on_hand_by_place
from production.tracing.reads.trace import trace
from production.workshop.actions.cards import ensure_place
from tests import make
from tests.make import DAY, act, day

pytestmark = pytest.mark.django_db
TIN = "The Tin Lantern"
SAYS = {
    "quarantine": "not released. Release it first",
    "held": "is held",
    "rejected": "Rework it into a new lot",
}


def line(lot, amount="3", price="9.00", **facts):
    cost = None if price is None else Decimal(price)
    return NewSaleLine(lot, Decimal(amount), cost, **facts)


def sell(*lines, on=2, **facts):
    return deeds.sell(lines=lines, **act(on), **{"channel": "stall", **facts})


def back(sale, amount="1", then="restock", on=4, **facts):
    row = sale.lines.get()
    return take_back(line=row, amount=Decimal(amount), then=then, **act(on), **facts)


class TestSell:
    def test_it_writes_the_paper_its_lines_and_the_entries(self):
        soap, other = make.filled("HS-1"), make.filled("HS-2")
        tin = ensure_customer(TIN)
        sale = sell(line(soap), line(other, "2", "11"), customer=tin, on=3)
        rows = sale.lines.values_list("position", "lot__code", "amount", "unit_price")
        assert list(rows) == [(1, "HS-1", 3, 9), (2, "HS-2", 2, 11)]
        assert (sale.customer, sale.channel, sale.on) == (tin, "stall", day(3))
        entry = soap.movements.get(kind="sold")
        assert (entry.amount, entry.on) == (-3, day(3))
        assert entry.sale_line == sale.lines.get(position=1)
        assert make.on_hand(soap) == 17

    def test_a_channel_and_a_day_do_where_nobody_has_a_name(self):
        soap = make.filled()
        sell(line(soap), on=7)
        [row] = trace(soap).deliveries
        assert (row.who, row.channel, row.on) == (None, "stall", day(7))

    def test_a_price_that_nobody_knows_stays_unknown(self):
        assert sell(line(make.filled(), price=None)).lines.get().unit_price is None

    def test_it_is_sold_from_the_place_where_it_stands(self):
        soap, crate = make.filled(), ensure_place("crate")
        move_lot(lot=soap, amount=Decimal(5), to=crate, **act())
        sell(line(soap, place=crate))
        assert on_hand_by_place(soap) == [("crate", 2), ("workshop", 15)]

    def test_sales_are_numbered_one_after_another(self):
        soap = make.filled()
        first, second = sell(line(soap, "1")), sell(line(soap, "1"))
        assert int(second.number[2:]) == int(first.number[2:]) + 1
        assert sell(line(soap, "1"), number="2026-88").number == "2026-88"

    @pytest.mark.parametrize("status", ["quarantine", "held", "rejected"])
    def test_only_a_released_lot_is_sold(self, status):
        soap = make.filled("HS-1", status=status)
        with make.refused("HS-1", SAYS[status]):
            sell(line(soap))

    def test_a_sale_dated_before_the_hold_is_right_and_later_ones_are_not(self):
        soap = make.filled()
        hold_lot(lot=soap, **act(5, reason="a customer's rash"))
        assert sell(line(soap), on=4).on == day(4)
        for number in (5, 6):
            with make.refused("is held"):
                sell(line(soap), on=number)

    def test_a_sale_dated_before_the_release_is_refused(self):
        soap = make.filled(status="quarantine")
        release_lot(lot=soap, **act(5))
        with make.refused("was in quarantine on 2026-03-04"):
            sell(line(soap), on=4)
        assert sell(line(soap), on=5).on == day(5)

    def test_a_lot_is_not_sold_before_it_was_made(self):
        soap = make.filled(on=day(9))
        with make.refused("not in the book yet on 2026-03-08"):
            sell(line(soap), on=8)

    def test_a_sale_typed_late_may_not_empty_what_was_sold_after_it(self):
        soap = make.filled("HS-1")
        sell(line(soap, "18"), on=20)
        with make.refused("HS-1 would be 1 pieces short", "sold 18", "came after"):
            sell(line(soap, "3"), on=5)

    def test_a_sale_needs_lines_and_somebody_or_some_channel(self):
        soap = make.filled()
        with make.refused("at least one line"):
            sell()
        with make.refused("who bought it", "channel"):
            sell(line(soap), channel="  ")

    @pytest.mark.parametrize(
        ("amount", "price", "says"),
        [
            ("0", "9", "Line 1: write how many of HS-1"),
            ("-2", "9", "Line 1: write how many of HS-1"),
            ("1.5", "9", "whole pieces"),
            ("21", "9", "Only 20 pieces of HS-1"),
            ("1", "-9", "a price is not below zero"),
        ],
    )
    def test_a_line_that_cannot_be_is_refused(self, amount, price, says):
        soap = make.filled("HS-1")
        with make.refused(says):
            sell(line(soap, amount, price))

    def test_two_lines_of_one_lot_are_judged_together(self):
        soap = make.filled("HS-1")
        with make.refused("Only 20 pieces of HS-1", "24 are asked for"):
            sell(line(soap, "12"), line(soap, "12"))

    def test_a_number_that_is_taken_is_refused(self):
        soap = make.filled()
        sell(line(soap, "1"), number="2026-88")
        with make.refused("There is a sale 2026-88 already"):
            sell(line(soap, "1"), number="2026-88")

    def test_one_refused_line_sells_nothing_of_the_others(self):
        good, held = make.filled(), make.filled(status="held")
        with make.refused("held"):
            sell(line(good), line(held))

    def test_the_same_key_sells_once(self):
        soap = make.filled()
        sale = make.sent_twice(deeds.sell, lines=[line(soap)], channel="stall", **act())
        assert list(Sale.objects.all()) == [sale]
        assert make.on_hand(soap) == 17


class TestTakeBack:
    def test_what_goes_back_into_stock_is_on_hand_again(self):
        soap = make.filled()
        row = back(sell(line(soap)), "2")
        assert (row.then, row.number[:3]) == ("restock", "RT-")
        entry = row.movement
        assert (entry.kind, entry.amount, entry.on) == ("returned", 2, day(4))
        assert make.on_hand(soap) == 19

    def test_what_is_destroyed_comes_in_and_goes_out(self):
        soap = make.filled()
        row = back(sell(line(soap)), "2", "destroy")
        kinds = soap.movements.filter(deed=row.deed).values_list("kind", "amount")
        assert list(kinds) == [("returned", 2), ("discarded", -2)]
        assert make.on_hand(soap) == 17

    def test_it_comes_back_to_the_place_it_left_or_to_another(self):
        soap, crate = make.filled(), ensure_place("crate")
        move_lot(lot=soap, amount=Decimal(5), to=crate, **act())
        sale = sell(line(soap, place=crate))
        assert back(sale).movement.place == crate
        home = ensure_place("workshop")
        assert back(sale, place=home).movement.place == home

    def test_who_had_it_stays_in_the_trace(self):
        soap = make.filled()
        back(make.sale(soap, "2"), "2")
        assert trace(soap).customers == [TIN]

    def test_a_held_lot_is_taken_back_too(self):
        soap = make.filled()
        sale = sell(line(soap))
        hold_lot(lot=soap, **act(3, reason="a customer's rash"))
        assert back(sale, "3").movement.amount == 3

    def test_no_more_comes_back_than_was_sold(self):
        sale = sell(line(make.filled()))
        back(sale, "2")
        with make.refused("3 were sold and 2 came back", "2 more is too many"):
            back(sale, "2")
        assert back(sale, "1").movement.amount == 1

    def test_what_was_taken_back_wrongly_may_come_back_once_more(self):
        sale = sell(line(make.filled()))
        undo_deed(undone=back(sale, "3").deed, **act(5))
        assert back(sale, "3").movement.amount == 3

    def test_nothing_comes_back_before_it_was_sold(self):
        sale = sell(line(make.filled()), on=6)
        with make.refused("was sold on 2026-03-06"):
            back(sale, on=5)

    @pytest.mark.parametrize("amount", ["0", "-1"])
    def test_an_amount_that_is_not_above_zero_is_refused(self, amount):
        sale = sell(line(make.filled()))
        with make.refused("how many came back"):
            back(sale, amount)

    def test_nothing_comes_back_of_a_sale_that_was_taken_back(self):
        sale = sell(line(make.filled()))
        undo_deed(undone=sale.deed, **act())
        with make.refused("nothing of it was sold"):
            back(sale)

    def test_something_else_than_restock_or_destroy_is_refused(self):
        sale = sell(line(make.filled()))
        with make.refused("Then", "burn"):
            back(sale, then="burn")

    def test_the_same_key_takes_back_once(self):
        soap = make.filled(on=DAY)
        row = sell(line(soap)).lines.get()
        make.sent_twice(
            take_back, line=row, amount=Decimal(1), then="restock", **act(4)
        )
        assert Return.objects.count() == 1
        assert make.on_hand(soap) == 18
