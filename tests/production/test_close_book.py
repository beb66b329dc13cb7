"""A closed month: nothing is dated into it any more, save what is late by nature."""

from decimal import Decimal

import pytest

from production import actions
from production.models import Closing, Movement
from tests import make
from tests.make import DAY, act, day

pytestmark = pytest.mark.django_db
ONE = Decimal(1)
FIFTEENTH = day(15)


def close(through=FIFTEENTH, on=16, **facts):
    return actions.close_book(through=through, **act(on, **facts))


def test_it_writes_through_which_day_the_book_is_closed():
    row = close()
    assert (row.through, row.deed.on) == (FIFTEENTH, day(16))


def test_the_next_closing_goes_further():
    close()
    close(day(20), 21)
    assert [row.through for row in Closing.objects.all()] == [day(20), FIFTEENTH]


@pytest.mark.parametrize("number", [10, 15])
def test_what_is_closed_is_not_closed_again(number):
    close()
    with make.refused("closed through 2026-03-15"):
        close(day(number), 20)


@pytest.mark.parametrize("number", [15, 14])
def test_a_day_is_closed_when_it_is_over(number):
    facts = act(number)
    with make.refused():
        actions.close_book(through=FIFTEENTH, **facts)


def test_only_an_owner_closes():
    facts = act(16, by=make.maker())
    with make.refused("Only an owner may close a month"):
        actions.close_book(through=FIFTEENTH, **facts)


def test_the_same_key_closes_once():
    make.sent_twice(actions.close_book, through=FIFTEENTH, **act(16))
    assert Closing.objects.count() == 1


class TestLaterDeeds:
    @pytest.fixture
    def stock(self):
        """A lot of oil, filled bottles, an open batch, and the closed book."""
        oil, soap = make.lot(), make.filled()
        batch = actions.start_batch(stage="cook", **act())
        sale = make.sale(soap)
        close()
        return oil, soap, batch, sale

    def deeds(self, stock):
        oil, soap, batch, sale = stock
        use = actions.Use(ONE, lot=oil)
        out = actions.Output(ONE, item=make.item("soap", kind="made"))
        line = actions.NewLine(oil.item, [actions.NewLot(ONE)])
        return {
            actions.record_purchase: {
                "supplier": actions.ensure_supplier("Northmere Oils"),
                "lines": [line],
            },
            actions.open_stock: {"item": oil.item, "lot": actions.NewLot(ONE)},
            actions.start_batch: {"stage": "cook"},
            actions.use_lots: {"batch": batch, "uses": [use]},
            actions.run_batch: {"stage": "cook", "uses": [use], "output": out},
            actions.note_step: {"batch": batch, "text": "at trace"},
            actions.note_work: {
                "batch": batch,
                "work": [actions.NewWork("labour", ONE, ONE)],
            },
            actions.name_loss: {
                "batch": batch,
                "losses": [actions.NewLoss("spill", ONE)],
            },
            actions.note_measurement: {"lot": oil, "readings": [make.check()]},
            actions.hold_lot: {"lot": oil, "reason": "x"},
            actions.reject_lot: {"lot": oil, "reason": "x"},
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

    @pytest.mark.parametrize("number", [2, 15])
    def test_every_deed_dated_on_or_before_that_day_is_refused(self, stock, number):
        for deed, facts in self.deeds(stock).items():
            with make.refused(
                "closed through 2026-03-15", "Date the entry in an open month"
            ):
                deed(**facts, **act(number))

    def test_the_day_after_is_open(self, stock):
        deeds = self.deeds(stock)
        for deed in (actions.undo_deed, actions.take_back, actions.reject_lot):
            deeds.pop(deed)
        # What follows needs the goods where and as they are: held comes last.
        holds = deeds.pop(actions.hold_lot)
        for deed, facts in deeds.items():
            assert deed(**facts, **act(16)) is not None
        assert actions.hold_lot(lot=holds["lot"], **act(16, reason="x")).on == day(16)

    def test_an_entry_of_a_closed_month_is_not_undone_from_an_open_one(self, stock):
        sale = stock[3]
        with make.refused("closed through"):
            actions.undo_deed(undone=sale.deed, **act(20))

    def test_an_entry_of_a_closed_month_is_not_corrected(self, stock):
        came = stock[0].movements.get()
        with make.refused("closed through"):
            actions.correct_movement(
                movement=came, amount=ONE, **act(20, reason="misread")
            )

    def test_an_entry_is_not_moved_into_a_closed_month(self, stock):
        came = make.lot(on=day(20)).movements.get()
        with make.refused("closed through"):
            actions.correct_movement(
                movement=came,
                amount=ONE,
                moved_to=day(10),
                **act(20, reason="came sooner"),
            )

    def test_hours_of_a_closed_month_are_not_taken_back(self):
        batch = actions.start_batch(stage="cook", **act())
        work = [actions.NewWork("labour", ONE, ONE)]
        noted = actions.note_work(batch=batch, work=work, **act())
        close()
        with make.refused("closed through"):
            actions.undo_deed(undone=noted, **act(20))


class TestLateBills:
    def test_a_freight_bill_keeps_its_invoice_date(self):
        purchase = make.lot().line.purchase
        close()
        bill = actions.add_extra_cost(
            purchase=purchase,
            kind="freight",
            amount=Decimal(18),
            invoiced=day(10),
            **act(10),
        )
        assert bill.invoiced == bill.deed.on == day(10)

    def test_a_price_that_comes_late_is_written(self):
        line = make.lot(price=None).line
        close()
        price = actions.price_line(line=line, price=Decimal(9), **act(10))
        assert price.deed.on == day(10)

    def test_goods_that_come_late_are_not(self):
        house, oil = actions.ensure_supplier("Northmere Oils"), make.item()
        close()
        line = actions.NewLine(oil, [actions.NewLot(ONE)])
        with make.refused("closed through"):
            actions.record_purchase(supplier=house, lines=[line], **act(15))
        assert not Movement.objects.filter(on__lte=DAY).exists()
