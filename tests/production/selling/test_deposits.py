"""Deposits on refill bottles, and empties that come back.

What the maker expects: a deposit is on top of the price and owed, to the customer or,
without a name, to the channel. An empty brings it back and waits to be washed. A wrong
deposit is put right on its sale; a wrong return is taken back with its deed.
Money that is owed and no income: common practice, no source; a licensed adviser
decides how it stands in the books and in taxes.
"""

from decimal import Decimal as D

import pytest
from django.urls import reverse

from config.audit import audit
from costing.reads import whole_book
from production.correcting.actions.entries import correct_movement
from production.correcting.actions.putting_right.deed import put_right
from production.correcting.actions.undoing import undo_deed
from production.exchange.actions.replaying import import_history
from production.exchange.reads import history_events
from production.models import Customer, EmptyBack, Lot, SaleLine
from production.record.domain.text import write
from production.selling.actions.customers import ensure_customer
from production.selling.actions.deposits import look_at_empties, take_empties_back
from production.selling.actions.sales import NewSaleLine, sell, take_back
from production.selling.reads.deposits import deposits, deposits_owed, owed_to
from production.stock.reads.stock import status_on
from tests import make
from tests.make import act, day
from tests.production.exchange.test_workshop_laws import in_an_empty_book
from tests.production.writing import fill, holds

pytestmark = pytest.mark.django_db
WHY = {"reason": "a slip"}


def sold(pieces="6", deposit="0.50", number=3, **to):
    lot = Lot.objects.filter(code="F1").first() or make.filled("F1")
    to = to or {"customer": ensure_customer("The Tin Lantern")}
    line = NewSaleLine(lot, D(pieces), D("9.00"), deposit=D(deposit))
    return sell(lines=[line], **to, **act(number))


def back(pieces="2", deposit="0.50", number=5, **facts):
    facts = {"customer": ensure_customer("The Tin Lantern"), **facts}
    item = facts.pop("item", None) or make.item("bottle 250")
    return take_empties_back(
        item=item, amount=D(pieces), deposit=D(deposit), **facts, **act(number)
    )


def owed():
    return {
        one.name: (one.taken, one.paid_back, one.owed, one.with_them)
        for one in deposits()
    }


class TestOwed:
    def test_a_deposit_is_owed_until_the_bottle_comes_back(self):
        sold()
        assert owed() == {"The Tin Lantern": (3, 0, 3, 6)}
        back()
        assert owed() == {"The Tin Lantern": (3, 1, 2, 4)}
        assert deposits_owed() == 2
        assert deposits_owed(day(4)) == 3
        assert deposits_owed(day(2)) == 0

    def test_without_a_name_the_channel_is_owed(self):
        sold(channel="Saturday stall")
        assert owed_to(None, "saturday  STALL") == 3
        back(customer=None, channel="Saturday stall")
        assert owed() == {"Saturday stall": (3, 1, 2, 4)}

    def test_a_full_bottle_that_came_back_took_its_deposit_with_it(self):
        sale = sold()
        take_back(line=sale.lines.get(), amount=D(1), then="restock", **act(4))
        assert owed() == {"The Tin Lantern": (D("2.5"), 0, D("2.5"), 5)}

    def test_a_sale_taken_back_owes_nothing(self):
        sale = sold()
        undo_deed(undone=sale.deed, **act(4, **WHY))
        assert owed() == {}

    def test_a_wrong_deposit_is_put_right_on_its_line(self):
        line = sold(deposit="5.00").lines.get()
        figures = {"deposit": D("0.50"), "unit_price": line.unit_price}
        put_right(of="sale line", row=line.pk, figures=figures, **act(4, **WHY))
        assert deposits_owed() == 3
        with make.refused("below zero"):
            figures = {"deposit": D(-1)}
            put_right(of="sale line", row=line.pk, figures=figures, **act(4, **WHY))

    def test_a_deposit_below_zero_is_refused(self):
        sold()
        with make.refused("a deposit is not below zero"):
            sold(deposit="-1")


class TestEmpties:
    def test_they_are_a_lot_of_their_own_worth_nothing_in_quarantine(self):
        sold()
        lot = back(code="E1").movement.lot
        assert (lot.code, make.on_hand(lot)) == ("E1", 2)
        assert status_on(lot, day(5)) == "quarantine"
        assert whole_book().valuation.lots["E1"].unit_cost == 0
        make.item("set", kind="made", unit="piece")
        facts = {"uses": [(lot, "1")], "makes": "set", "unit": "piece", "amount": 1}
        with make.refused("E1", "quarantine"):
            make.batch("packing", **facts, on=day(5))

    def test_what_they_are_worth_may_be_said(self):
        sold()
        back(code="E1", value=D("0.30"))
        assert whole_book().valuation.lots["E1"].unit_cost == D("0.15")
        assert [one for one in audit() if one.faults] == []

    def test_washed_and_looked_at_they_are_filled_again(self):
        sold()
        lot = back(pieces="3").movement.lot
        look_at_empties(lot=lot, broken=D(1), **act(6, reason="chipped"))
        assert status_on(lot, day(6)) == "released"
        assert make.on_hand(lot) == 2
        assert lot.measurements.get().note == "washed and looked at"
        make.batch(
            "packing",
            uses=[(lot, "1")],
            makes="set",
            unit="piece",
            amount=1,
            on=day(7),
        )
        with make.refused("does not wait to be washed"):
            look_at_empties(lot=lot, **act(7))

    def test_all_of_them_broken_is_nothing_released(self):
        sold()
        lot = back().movement.lot
        with make.refused("reason"):
            look_at_empties(lot=lot, broken=D(2), **act(6))
        with make.refused("2 of", "are here"):
            look_at_empties(lot=lot, broken=D(3), **act(6))
        look_at_empties(lot=lot, broken=D(2), **act(6, reason="cracked"))
        assert make.on_hand(lot) == 0
        assert status_on(lot, day(6)) == "quarantine"
        bought = make.bottles()
        with make.refused("did not come back empty"):
            look_at_empties(lot=bought, **act(6))

    def test_no_more_is_paid_back_than_is_owed(self):
        sold()
        with make.refused("3.5 would be paid back", "is owed 3 of deposits"):
            back(pieces="7")
        back(pieces="7", deposit="0")
        with make.refused("Saturday stall is owed 0 of deposits"):
            back(customer=None, channel="Saturday stall")

    @pytest.mark.parametrize(
        ("facts", "says"),
        [
            ({"pieces": "0"}, "how many came back"),
            ({"pieces": "1.5"}, "whole pieces"),
            ({"deposit": "-1"}, "below zero"),
            ({"customer": None}, "who brought them"),
        ],
    )
    def test_what_cannot_be_is_refused(self, facts, says):
        sold()
        with make.refused(says):
            back(**facts)

    def test_what_was_filled_is_no_empty(self):
        sold()
        with make.refused("no packaging that is counted"):
            back(item=make.item("hand soap 250"))

    def test_a_return_that_never_was_is_taken_back(self):
        sold()
        row = back()
        undo_deed(undone=row.deed, **act(6, **WHY))
        assert owed() == {"The Tin Lantern": (3, 0, 3, 6)}
        assert not EmptyBack.objects.exists()

    def test_a_miscounted_return_is_corrected_and_the_debt_follows(self):
        sold()
        row = back(pieces="3")
        correct_movement(movement=row.movement, amount=D(2), **act(6, **WHY))
        assert owed() == {"The Tin Lantern": (3, 1, 2, 4)}

    def test_sent_twice_they_come_back_once(self):
        sold()
        facts = {"item": make.item("bottle 250"), "amount": D(1), "deposit": D("0.5")}
        customer = Customer.objects.get()
        make.sent_twice(take_empties_back, customer=customer, **facts, **act(5))


def lived():
    sold()
    row = back(code="E1", value=D("0.30"))
    look_at_empties(lot=row.movement.lot, broken=D(1), **act(6, reason="chipped"))
    return write("USD", history_events())


def test_the_history_file_moves_them():
    text = in_an_empty_book(lived)
    import_history(text=text)
    assert owed() == {"The Tin Lantern": (3, 1, 2, 4)}
    assert status_on(Lot.objects.get(code="E1"), day(6)) == "released"
    assert write("USD", history_events()) == text
    assert [one for one in audit() if one.faults] == []


class TestPages:
    def test_a_sale_with_a_deposit_shows_it_apart(self, desk):
        make.filled("F1")
        good = {
            "lines-0-lot": "F1",
            "lines-0-amount": "6",
            "lines-0-unit_price": "9",
            "lines-0-deposit": "0.50",
            "channel": "Saturday stall",
            "on": "2026-03-03",
        }
        bad = {"lines-0-deposit": "half"}
        holds(desk, reverse("sale-sell"), good, bad, "half")
        line = SaleLine.objects.get()
        assert line.deposit == D("0.5")
        text = desk.get(line.sale.get_absolute_url()).content.decode()
        for said in ("54.00", "3.00", "57.00", "no revenue"):
            assert said in text

    def test_empties_come_back_and_are_washed(self, desk):
        sold()
        bottle = make.item("bottle 250")
        good = {
            "customer": str(Customer.objects.get().pk),
            "item": str(bottle.pk),
            "amount": "2",
            "deposit": "0.50",
            "code": "E1",
            "on": "2026-03-05",
        }
        holds(desk, reverse("deposit-take-back"), good, {"amount": "20"}, "is owed 3")
        text = desk.get(reverse("deposits")).content.decode()
        assert "The Tin Lantern" in text
        assert reverse("lot-wash", args=["E1"]) in text
        lot = Lot.objects.get(code="E1")
        text = desk.get(lot.get_absolute_url()).content.decode()
        assert "came back: The Tin Lantern" in " ".join(text.split())
        assert "Waits to be washed and looked at" in text
        fill(desk, reverse("lot-wash", args=["E1"]), on="2026-03-06")
        assert status_on(lot, day(6)) == "released"
        assert desk.get(reverse("lot-wash", args=["F1"])).status_code == 404

    @pytest.mark.parametrize("count", [2, 25])
    def test_it_asks_the_same_however_long(
        self, desk, count, django_assert_num_queries
    ):
        make.filled("F1", pieces="100")
        for n in range(count):
            who = {"customer": ensure_customer(f"Shop {n}")}
            sold(pieces="2", **who)
            back(pieces="1", **who)
        desk.get(reverse("deposits"))
        with django_assert_num_queries(ASKED):
            desk.get(reverse("deposits"))


ASKED = 8
