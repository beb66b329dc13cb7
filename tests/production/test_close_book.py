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

from production import actions
from production.models import Closing, Movement
from tests import make
from tests.make import DAY, act, day
from tests.once import remembered

pytestmark = pytest.mark.django_db
ONE = Decimal(1)
FEBRUARY, MARCH = date(2026, 2, 28), day(31)


def april(number, **facts):
    return {"on": date(2026, 4, number), "by": make.owner(), **facts}


def close(through=MARCH, **facts):
    return actions.close_book(through=through, **(facts or april(1)))


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
        actions.close_book(through=MARCH, **facts)


def test_only_an_owner_closes():
    facts = april(1, by=make.maker())
    with make.refused("Only an owner may close a month"):
        actions.close_book(through=MARCH, **facts)


def test_the_same_key_closes_once():
    make.sent_twice(actions.close_book, through=MARCH, **april(1))
    assert Closing.objects.count() == 1


def test_an_earlier_book_may_have_closed_by_the_day():
    actions.close_book(through=day(15), past=True, **act(16))
    assert Closing.objects.get().through == day(15)


@remembered
def closed_stock():
    """A lot of oil, filled bottles, an open batch, and the closed book."""
    oil, soap = make.lot(), make.filled()
    batch = actions.start_batch(stage="cook", **act())
    sale = make.sale(soap)
    close()
    return oil, soap, batch, sale


class TestLaterDeeds:
    @pytest.fixture
    def stock(self):
        return closed_stock()

    def deeds(self, stock):
        """What moves goods or money."""
        oil, soap, batch, sale = stock
        use = actions.Use(ONE, lot=oil)
        out = actions.Output(ONE, item=make.item("soap", kind="made"))
        line = actions.NewLine(oil.item, [actions.NewLot(ONE)])
        return {
            actions.record_purchase: {
                "supplier": actions.ensure_supplier("Northmere Oils"),
                "lines": [line],
            },
            actions.price_line: {"line": oil.line, "price": ONE},
            actions.add_extra_cost: {
                "purchase": oil.line.purchase,
                "kind": "freight",
                "amount": ONE,
            },
            actions.open_stock: {"item": oil.item, "lot": actions.NewLot(ONE)},
            actions.use_lots: {"batch": batch, "uses": [use]},
            actions.run_batch: {"stage": "cook", "uses": [use], "output": out},
            actions.note_work: {
                "batch": batch,
                "work": [actions.NewWork("labour", ONE, ONE)],
            },
            actions.name_loss: {
                "batch": batch,
                "losses": [actions.NewLoss("spill", ONE)],
            },
            actions.count_lot: {"lot": oil, "found": Decimal(900), "reason": "x"},
            actions.reweigh_lot: {"lot": oil, "found": Decimal(800)},
            actions.give: {"lot": soap, "amount": ONE, "why": "gift"},
            actions.discard: {"lot": oil, "amount": ONE, "reason": "x"},
            actions.move_lot: {
                "lot": oil,
                "amount": ONE,
                "to": actions.ensure_place("crate"),
            },
            actions.sell: {"lines": [actions.NewSaleLine(soap, ONE)], "channel": "x"},
            actions.take_back: {
                "line": sale.lines.get(),
                "amount": ONE,
                "then": "restock",
            },
            actions.undo_deed: {"undone": sale.deed},
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
        for deed in (actions.undo_deed, actions.take_back):
            deeds.pop(deed)
        for deed, facts in deeds.items():
            assert deed(**facts, **april(1)) is not None

    def test_what_was_seen_and_noted_is_never_blocked(self, stock):
        oil, soap, batch, _ = stock
        number = 10
        assert actions.note_step(batch=batch, text="at trace", **act(number))
        assert actions.note_measurement(
            lot=soap, readings=[make.check()], **act(number)
        )
        held = actions.hold_lot(lot=oil, **act(number, reason="smells"))
        assert held.on == day(number)
        actions.release_lot(lot=oil, **act(11, reason="it was the jug"))
        assert actions.reject_lot(lot=oil, **act(12, reason="rancid")).on == day(12)

    def test_a_sale_of_a_closed_month_is_taken_back_in_an_open_one(self, stock):
        sale = stock[3]
        back = actions.undo_deed(undone=sale.deed, **april(2))
        mirrors = Movement.objects.filter(deed=back)
        assert {row.on for row in mirrors} == {DAY}
        assert back.on == date(2026, 4, 2)
        assert {row.reverses.deed for row in mirrors} == {sale.deed}

    def test_an_entry_of_a_closed_month_is_corrected_in_an_open_one(self, stock):
        oil = stock[0]
        came = oil.movements.get()
        facts = {"movement": came, "amount": Decimal(900)}
        with make.refused("closed through"):
            actions.correct_movement(**facts, **act(20, reason="misread"))
        actions.correct_movement(**facts, **april(2, reason="misread"))
        again = oil.movements.standing().get()
        assert (again.on, again.amount) == (DAY, 900)
        assert again.deed.on == date(2026, 4, 2)

    def test_a_mending_of_a_closed_month_is_itself_taken_back(self, stock):
        oil = stock[0]
        came = oil.movements.get()
        mended = actions.correct_movement(
            movement=came, amount=Decimal(900), **april(2, reason="misread")
        )
        actions.undo_deed(undone=mended, **april(3))
        assert make.on_hand(oil) == 1000
        assert oil.movements.standing().get().on == DAY

    def test_goods_taken_back_from_a_closed_month_come_back(self, stock):
        oil = stock[0]
        gone = actions.reverse_movement(
            movement=oil.movements.get(), **april(2, reason="never came")
        )
        assert make.on_hand(oil) == 0
        actions.undo_deed(undone=gone, **april(3))
        assert make.on_hand(oil) == 1000

    def test_an_entry_is_not_moved_into_a_closed_month(self, stock):
        came = make.lot(on=date(2026, 4, 3)).movements.get()
        with make.refused("closed through"):
            actions.correct_movement(
                movement=came,
                amount=ONE,
                moved_to=day(10),
                **april(5, reason="came sooner"),
            )

    def test_an_entry_is_not_moved_within_the_closed_month(self, stock):
        came = stock[0].movements.get()
        with make.refused("closed through"):
            actions.correct_movement(
                movement=came,
                amount=ONE,
                moved_to=day(10),
                **april(5, reason="came later"),
            )

    def test_hours_of_a_closed_month_are_taken_back_in_an_open_one(self):
        batch = actions.start_batch(stage="cook", **act())
        work = [actions.NewWork("labour", ONE, ONE)]
        noted = actions.note_work(batch=batch, work=work, **act())
        close()
        with make.refused("closed through"):
            actions.undo_deed(undone=noted, **act(20))
        actions.undo_deed(undone=noted, **april(20))


class TestLateBills:
    def test_a_freight_bill_is_of_today_and_keeps_its_invoice_date(self):
        purchase = make.lot().line.purchase
        close()
        bill = actions.add_extra_cost(
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
            actions.price_line(line=line, price=Decimal(9), **act(10))
        price = actions.price_line(line=line, price=Decimal(9), **april(10))
        assert price.deed.on == date(2026, 4, 10)

    def test_goods_that_come_late_are_not(self):
        house, oil = actions.ensure_supplier("Northmere Oils"), make.item()
        close()
        line = actions.NewLine(oil, [actions.NewLot(ONE)])
        with make.refused("closed through"):
            actions.record_purchase(supplier=house, lines=[line], **act(15))
        assert not Movement.objects.filter(on__lte=DAY).exists()
