"""A closed month: nothing that moves goods or money is dated into it any more.

A maker closes whole months, the last one that is over or several at once. What is wrong
in a closed month she mends today: the correction is of today and names the entry, and
only its mirror carries the old date. A bill that comes late is of today and keeps the
date of its invoice. What she saw and noted (a check, a reading, a hold, a step) may be
of any day.
"""

from datetime import date
from decimal import Decimal

import pytest

from production.batches.actions.batches import run_batch, start_batch, use_lots
from production.batches.actions.losing import name_loss
from production.batches.actions.new_batch import Output, Use
from production.batches.actions.working import note_work
from production.buying.actions.purchases import (
    NewLine,
    add_extra_cost,
    open_stock,
    price_line,
    record_purchase,
)
from production.buying.actions.suppliers import ensure_supplier
from production.closing.actions import close_book
from production.correcting.actions.entries import correct_movement, reverse_movement
from production.correcting.actions.undoing import undo_deed
from production.counting.actions import count_lot
from production.lots.actions.lot_deeds import discard, give, move_lot, reweigh_lot
from production.models import Closing, Movement
from production.release.actions.readings import note_measurement, note_step
from production.release.actions.statuses import hold_lot, reject_lot, release_lot
from production.selling.actions.sales import NewSaleLine, sell, take_back
from production.stock.actions.opening_lots import NewLot
from production.workshop.actions.cards import ensure_place
from production.yields.domain.hours_and_losses import NewLoss, NewWork
from tests import make
from tests.make import DAY, act, day
from tests.once import remembered

pytestmark = pytest.mark.django_db
ONE = Decimal(1)
FEBRUARY, MARCH = date(2026, 2, 28), day(31)


def april(number, **facts):
    return {"on": date(2026, 4, number), "by": make.owner(), **facts}


def close(through=MARCH, **facts):
    return close_book(through=through, **(facts or april(1)))


def test_it_writes_through_which_day_the_book_is_closed():
    row = close()
    assert (row.through, row.deed.on) == (MARCH, date(2026, 4, 1))


def test_the_next_closing_goes_further():
    close(FEBRUARY, **act(2))
    close()
    assert [row.through for row in Closing.objects.all()] == [MARCH, FEBRUARY]


@pytest.mark.parametrize("through", [FEBRUARY, MARCH])
def test_what_is_closed_is_not_closed_again(through):
    close()
    with make.refused("closed through 2026-03-31"):
        close(through, **april(2))


@pytest.mark.parametrize("number", [15, 30])
def test_only_whole_months_are_closed(number):
    facts = april(1)
    with make.refused("not the end of a month: choose 2026-03-31"):
        close(day(number), **facts)


@pytest.mark.parametrize("number", [31, 14])
def test_a_month_is_closed_when_it_is_over(number):
    facts = act(number)
    with make.refused():
        close_book(through=MARCH, **facts)


def test_only_an_owner_closes():
    facts = april(1, by=make.maker())
    with make.refused("Only an owner may close a month"):
        close_book(through=MARCH, **facts)


def test_the_same_key_closes_once():
    make.sent_twice(close_book, through=MARCH, **april(1))
    assert Closing.objects.count() == 1


def test_an_earlier_book_may_have_closed_by_the_day():
    close_book(through=day(15), past=True, **act(16))
    assert Closing.objects.get().through == day(15)


@remembered
def closed_stock():
    """A lot of oil, filled bottles, an open batch, and the closed book."""
    oil, soap = make.lot(), make.filled()
    batch = start_batch(stage="cook", **act())
    sale = make.sale(soap)
    close()
    return oil, soap, batch, sale


class TestLaterDeeds:
    @pytest.fixture
    def stock(self):
        """A lot of oil, filled bottles, an open batch, and the closed book."""
        oil, soap = make.lot(), make.filled()
        batch = start_batch(stage="cook", **act())
        sale = make.sale(soap)
        close()
        return oil, soap, batch, sale

    def deeds(self, stock):
        """What moves goods or money."""
        oil, soap, batch, sale = stock
        use = Use(ONE, lot=oil)
        out = Output(ONE, item=make.item("soap", kind="made"))
        line = NewLine(oil.item, [NewLot(ONE)])
        return {
            record_purchase: {
                "supplier": ensure_supplier("Northmere Oils"),
                "lines": [line],
            },
            price_line: {"line": oil.line, "price": ONE},
            add_extra_cost: {
                "purchase": oil.line.purchase,
                "kind": "freight",
                "amount": ONE,
            },
            open_stock: {"item": oil.item, "lot": NewLot(ONE)},
            use_lots: {"batch": batch, "uses": [use]},
            run_batch: {"stage": "cook", "uses": [use], "output": out},
            note_work: {
                "batch": batch,
                "work": [NewWork("labour", ONE, ONE)],
            },
            name_loss: {
                "batch": batch,
                "losses": [NewLoss("spill", ONE)],
            },
            count_lot: {"lot": oil, "found": Decimal(900), "reason": "x"},
            reweigh_lot: {"lot": oil, "found": Decimal(800)},
            give: {"lot": soap, "amount": ONE, "why": "gift"},
            discard: {"lot": oil, "amount": ONE, "reason": "x"},
            move_lot: {
                "lot": oil,
                "amount": ONE,
                "to": ensure_place("crate"),
            },
            sell: {"lines": [NewSaleLine(soap, ONE)], "channel": "x"},
            take_back: {
                "line": sale.lines.get(),
                "amount": ONE,
                "then": "restock",
            },
            undo_deed: {"undone": sale.deed},
        }

    @pytest.mark.parametrize("number", [2, 31])
    def test_what_moves_goods_or_money_is_refused_on_or_before_that_day(
        self, stock, number
    ):
        for deed, facts in self.deeds(stock).items():
            with make.refused(
                "closed through 2026-03-31", "Date the entry in an open month"
            ):
                deed(**facts, **act(number))

    def test_the_day_after_is_open(self, stock):
        deeds = self.deeds(stock)
        for deed in (undo_deed, take_back):
            deeds.pop(deed)
        for deed, facts in deeds.items():
            assert deed(**facts, **april(1)) is not None

    def test_what_was_seen_and_noted_is_never_blocked(self, stock):
        oil, soap, batch, _ = stock
        number = 10
        assert note_step(batch=batch, text="at trace", **act(number))
        assert note_measurement(lot=soap, readings=[make.check()], **act(number))
        held = hold_lot(lot=oil, **act(number, reason="smells"))
        assert held.on == day(number)
        release_lot(lot=oil, **act(11, reason="it was the jug"))
        assert reject_lot(lot=oil, **act(12, reason="rancid")).on == day(12)

    def test_a_sale_of_a_closed_month_is_taken_back_in_an_open_one(self, stock):
        sale = stock[3]
        back = undo_deed(undone=sale.deed, **april(2))
        mirrors = Movement.objects.filter(deed=back)
        assert {row.on for row in mirrors} == {DAY}
        assert back.on == date(2026, 4, 2)
        assert {row.reverses.deed for row in mirrors} == {sale.deed}

    def test_an_entry_of_a_closed_month_is_corrected_in_an_open_one(self, stock):
        oil = stock[0]
        came = oil.movements.get()
        facts = {"movement": came, "amount": Decimal(900)}
        with make.refused("closed through"):
            correct_movement(**facts, **act(20, reason="misread"))
        correct_movement(**facts, **april(2, reason="misread"))
        again = oil.movements.standing().get()
        assert (again.on, again.amount) == (DAY, 900)
        assert again.deed.on == date(2026, 4, 2)

    def test_a_mending_of_a_closed_month_is_itself_taken_back(self, stock):
        oil = stock[0]
        came = oil.movements.get()
        mended = correct_movement(
            movement=came, amount=Decimal(900), **april(2, reason="misread")
        )
        undo_deed(undone=mended, **april(3))
        assert make.on_hand(oil) == 1000
        assert oil.movements.standing().get().on == DAY

    def test_goods_taken_back_from_a_closed_month_come_back(self, stock):
        oil = stock[0]
        gone = reverse_movement(
            movement=oil.movements.get(), **april(2, reason="never came")
        )
        assert make.on_hand(oil) == 0
        undo_deed(undone=gone, **april(3))
        assert make.on_hand(oil) == 1000

    def test_an_entry_is_not_moved_into_a_closed_month(self, stock):
        came = make.lot(on=date(2026, 4, 3)).movements.get()
        with make.refused("closed through"):
            correct_movement(
                movement=came,
                amount=ONE,
                moved_to=day(10),
                **april(5, reason="came sooner"),
            )

    def test_an_entry_is_not_moved_within_the_closed_month(self, stock):
        came = stock[0].movements.get()
        with make.refused("closed through"):
            correct_movement(
                movement=came,
                amount=ONE,
                moved_to=day(10),
                **april(5, reason="came later"),
            )

    def test_hours_of_a_closed_month_are_taken_back_in_an_open_one(self):
        batch = start_batch(stage="cook", **act())
        work = [NewWork("labour", ONE, ONE)]
        noted = note_work(batch=batch, work=work, **act())
        close()
        with make.refused("closed through"):
            undo_deed(undone=noted, **act(20))
        undo_deed(undone=noted, **april(20))


class TestLateBills:
    def test_a_freight_bill_is_of_today_and_keeps_its_invoice_date(self):
        purchase = make.lot().line.purchase
        close()
        bill = add_extra_cost(
            purchase=purchase,
            kind="freight",
            amount=Decimal(18),
            invoiced=day(10),
            **april(10),
        )
        assert (bill.invoiced, bill.deed.on) == (day(10), date(2026, 4, 10))

    def test_a_price_that_comes_late_is_written_today(self):
        line = make.lot(price=None).line
        close()
        with make.refused("closed through"):
            price_line(line=line, price=Decimal(9), **act(10))
        price = price_line(line=line, price=Decimal(9), **april(10))
        assert price.deed.on == date(2026, 4, 10)

    def test_goods_that_come_late_are_not(self):
        house, oil = ensure_supplier("Northmere Oils"), make.item()
        close()
        line = NewLine(oil, [NewLot(ONE)])
        with make.refused("closed through"):
            record_purchase(supplier=house, lines=[line], **act(15))
        assert not Movement.objects.filter(on__lte=DAY).exists()
