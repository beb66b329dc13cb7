"""Kept values follow each kind of deed, its mending, and nothing that it leaves alone.

The law is the roll-up from nothing (IAS 2.23: each lot at its own cost), looked at by
``differing``, which reads no kept value. Amounts below are by hand.
"""

from decimal import Decimal as D

import pytest
from django.core.management import call_command

from costing.actions.keeping import keep_values, refuse_other_values, remake_values
from costing.domain.rollup import NANO
from costing.models import KeptBy, KeptFlow, KeptLot, KeptMonth
from costing.reads.book import whole_book
from costing.reads.differing import differing
from costing.reads.kept import totals, unit_costs
from costing.reads.on_date import on_day
from production.batches.actions.batches import run_batch, start_batch, use_lots
from production.batches.actions.losing import lose_batch, name_loss, rename_loss
from production.batches.actions.new_batch import Output, Use
from production.batches.actions.trials import promote_trial
from production.batches.actions.working import note_work
from production.buying.actions.purchases import (
    NewExtra,
    NewLine,
    add_extra_cost,
    open_stock,
    price_line,
    record_purchase,
)
from production.buying.actions.sending_back import send_back
from production.buying.actions.suppliers import ensure_supplier
from production.correcting.actions.entries import correct_movement, reverse_movement
from production.correcting.actions.putting_right.deed import put_right
from production.correcting.actions.undoing import undo_deed
from production.exchange.actions.replaying import import_history
from production.exchange.reads import history_events
from production.lots.actions.lot_deeds import discard, give, move_lot
from production.models import (
    Batch,
    Deed,
    ExtraCost,
    Loss,
    Lot,
    Movement,
    Purchase,
    PurchaseLine,
    Work,
)
from production.record.actions import followers
from production.record.domain.text import write
from production.selling.actions.sales import take_back
from production.stock.actions.opening_lots import NewLot
from production.workshop.actions.cards import ensure_place
from production.workshop.actions.items import restate_item
from production.yields.domain.hours_and_losses import NewLoss, NewWork
from tests import make
from tests.costing.on_days import same_as_from_nothing
from tests.make import act
from tests.production.exchange.test_workshop_laws import in_an_empty_book

pytestmark = pytest.mark.django_db


@pytest.fixture
def book():
    """A bill of two lines, opening salt, soap of both, bottles, one sold, one given."""
    bottle = make.item("bottle 250", kind="packaging", unit="piece")
    record_purchase(
        number="P1",
        supplier=ensure_supplier("Northmere Oils"),
        lines=[
            NewLine(make.item(category="oil"), [NewLot(D(1000), "OIL")], price=D(10)),
            NewLine(
                bottle, [NewLot(D(10), "BOT")], price=D(5), shipping_weight=D(1000)
            ),
        ],
        extra_costs=[NewExtra("freight", D(3), "weight")],
        currency="EUR",
        rate=D("1.25"),
        **act(2),
    )
    salt = make.item("sea salt", category="salt")
    open_stock(item=salt, lot=NewLot(D(100), "SALT"), value=D(8), **act(2))
    soap = make.batch(
        uses=[(lot("OIL"), 500), (lot("SALT"), 50)],
        amount=480,
        code="SOAP",
        on=make.day(3),
        losses=[NewLoss("spill", D(50))],
        work=[NewWork("labour", D(1), D(18))],
    )
    hand = make.batch(
        "filling",
        uses=[(soap, 400), (lot("BOT"), 4)],
        makes="hand wash",
        unit="piece",
        amount=4,
        net_mass=D(100),
        code="HAND",
        on=make.day(4),
    )
    make.sale(hand, on=make.day(5))
    give(lot=hand, amount=D(1), why="gift", **act(6))


def lot(code):
    return Lot.objects.get(code=code)


def worth():
    """All that is kept, by code."""
    lots = {
        row.lot.code: (row.total, row.start, row.left, row.amount_left, row.missing)
        for row in KeptLot.objects.select_related("lot")
    }
    sums = {(row.month, row.account): row.value for row in KeptMonth.objects.all()}
    sums = {at: value for at, value in sums.items() if value}
    flows = KeptFlow.objects.values_list("on", "out_of", "into", "money", "nano")
    return lots, (sums, sorted(flows))


def mended(of, row, **figures):
    put_right(of=of, row=row.pk, figures=figures, **act(9, reason="mistyped"))


def used(code):
    return Movement.objects.get(lot__code=code, kind="used")


DEEDS = {
    "a price": lambda: price_line(
        line=lot("OIL").line, price=D(20), tax=D(0), **act(9)
    ),
    "a late cost": lambda: add_extra_cost(
        purchase=Purchase.objects.get(), kind="duty", amount=D(2), **act(9)
    ),
    "the rate": lambda: mended("purchase", Purchase.objects.get(), rate=D(2)),
    "a weight as shipped": lambda: mended(
        "line", PurchaseLine.objects.get(lots__code="BOT"), shipping_weight=D(500)
    ),
    "an extra cost": lambda: mended("extra cost", ExtraCost.objects.get(), amount=D(6)),
    "the worth of opening stock": lambda: mended(
        "entry", Movement.objects.get(kind="opening"), value=D(4)
    ),
    "hours": lambda: mended("work", Work.objects.get(), hours=D(2)),
    "the day of hours": lambda: mended("work", Work.objects.get(), on=make.day(4)),
    "more hours": lambda: note_work(
        batch=lot("SOAP").batch, work=[NewWork("energy", D(2), D("0.3"))], **act(9)
    ),
    "a loss": lambda: mended("loss", Loss.objects.get(), amount=D(40)),
    "the name of a loss": lambda: rename_loss(
        loss=Loss.objects.get(), kind="steam", **act(9, reason="it boiled off")
    ),
    "one more loss": lambda: name_loss(
        batch=lot("SOAP").batch, losses=[NewLoss("burnt", D(10))], **act(9)
    ),
    "an expected yield": lambda: mended("batch", lot("SOAP").batch, expected=D(700)),
    "how much went in": lambda: correct_movement(
        movement=used("SALT"), amount=D(40), **act(9, reason="misread")
    ),
    "an entry before others": lambda: discard(
        lot=lot("SOAP"), amount=D(50), **act(3, reason="a leak")
    ),
    "an entry after all": lambda: discard(
        lot=lot("SOAP"), amount=D(50), **act(9, reason="a leak")
    ),
    "a gift that was none": lambda: reverse_movement(
        movement=Movement.objects.get(kind="given"), **act(9, reason="it stayed")
    ),
    "what its supplier got back": lambda: send_back(
        lot=lot("OIL"), amount=D(100), credit=D(1), **act(9)
    ),
    "a batch made of it": lambda: run_batch(
        stage="dilution",
        uses=[Use(D(50), lot("SOAP"))],
        output=Output(D(50), make.item("thin soap", kind="made"), "THIN"),
        **act(9),
    ),
}


@pytest.mark.parametrize("name", DEEDS)
def test_a_deed_changes_what_it_should_and_its_undoing_brings_it_back(book, name):
    before = worth()
    DEEDS[name]()
    assert list(differing()) == []
    assert worth() != before
    undo_deed(undone=Deed.objects.latest("pk"), **act(10, reason="no"))
    assert list(differing()) == []
    lots, book = worth()
    assert {code: lots[code] for code in before[0]} == before[0]
    assert book == before[1]


@pytest.fixture
def reworked(monkeypatch):
    """What each deed worked anew."""
    found = []
    follow = [lambda deed: found.append(keep_values(deed))]
    monkeypatch.setattr(followers, "WHEN_DONE", follow)
    monkeypatch.setattr("production.record.actions.deeds.WHEN_DONE", follow)
    return found


class TestNoFurtherThanValuesChange:
    def test_a_price_reaches_what_was_made_of_it_and_nothing_else(self, book, reworked):
        other = make.lot("SALT-2", item=make.item("sea salt"))
        make.batch(uses=[(other, 100)], amount=100, makes="brine", on=make.day(7))
        reworked.clear()
        DEEDS["a price"]()
        # The two lots of its bill, the soap and the hand wash.
        assert reworked[0].lots == 4

    def test_a_share_that_comes_out_equal_goes_no_further(self, book, reworked):
        # By weight: the bottles carry what they did.
        make.batch(
            "packing",
            uses=[(lot("BOT"), 2)],
            makes="empties",
            unit="piece",
            amount=2,
            on=make.day(7),
        )
        reworked.clear()
        DEEDS["a price"]()
        assert reworked[0].lots == 4

    def test_an_entry_after_all_others_walks_no_lot(self, book, reworked):
        DEEDS["an entry after all"]()
        assert (reworked[0].lots, reworked[0].added) == (0, 1)

    def test_one_before_them_walks_its_lot_and_what_changed_after_it(
        self, book, reworked
    ):
        discard(lot=lot("OIL"), amount=D(250), **act(2, reason="a leak"))
        # 250 of 1,000 g on the day it came: the 500 g used next day cost what they
        # did, half of all to the last nano.
        assert reworked[0].lots == 1
        assert list(differing()) == []

    def test_a_move_or_a_reading_touches_no_value(self, book, reworked):
        move_lot(
            lot=lot("SOAP"), amount=D(10), to=ensure_place("stall crate"), **act(9)
        )
        assert reworked[0].lots == 0
        assert reworked[0].added == 0


class TestTrials:
    def test_what_a_trial_holds_is_development_until_it_is_accepted(self):
        oil = make.lot("OIL", price="10.00")
        trial = make.batch(
            uses=[(oil, 100)], amount=100, trial=True, status="quarantine"
        )
        give(lot=trial, amount=D(40), why="sample", **act(3))
        assert totals().development == NANO
        promote_trial(batch=trial.batch, past=True, **act(5, reason="it is clear"))
        assert list(differing()) == []
        found = totals()
        # 40 of 100 g that cost 1.00 were given, 60 stand in stock beside 9.00 of oil.
        assert (found.development, found.given) == (0, 400_000_000)
        assert found.stock == 9 * NANO + 600_000_000
        undo_deed(undone=Deed.objects.latest("pk"), **act(6, reason="not clear"))
        assert list(differing()) == []
        assert totals().development == NANO


def test_what_comes_back_in_parts_brings_what_it_was_sold_at():
    """A leaking one is destroyed, and more of the same sale comes back after it."""
    salt = make.item("bath salt", category="salt")
    hand = make.lot("HAND", item=salt, grams="9", price="7.00")
    line = make.sale(hand, amount=5).lines.get()
    for day, amount, then in ((5, 1, "destroy"), (6, 2, "restock")):
        take_back(line=line, amount=D(amount), then=then, **act(day))
    assert list(differing()) == []
    # 5 of 9 at 7.00 are 3.888888889, and 2 of those 5 stay sold.
    assert totals().cost_of_goods_sold == 3_888_888_889 - 2_333_333_333


def test_a_kettle_that_drew_more_than_was_said(book):
    work = [NewWork("energy", D(2), D("0.30"), equipment="kettle", power=D(3))]
    note_work(batch=lot("SOAP").batch, work=work, **act(7))
    before = totals().making_cost
    mended("work", Work.objects.get(kind="energy"), power=D(4))
    # 2 h of one kW more, at 0.30 a kWh.
    assert totals().making_cost - before == 600_000_000
    assert list(differing()) == []


def test_bottles_given_before_they_got_their_label_are_worth_less_until_then():
    soap, label = (
        make.lot("SOAP", price="8.00"),
        make.lot(
            "LABEL",
            grams="4",
            item=make.item("label", kind="packaging", unit="piece"),
            price="1",
        ),
    )
    hand = make.batch(
        "filling",
        uses=[(soap, 1000)],
        makes="hand wash",
        unit="piece",
        amount=4,
        code="HAND",
        status="quarantine",
        on=make.day(4),
    )
    give(lot=hand, amount=D(2), why="retained", **act(4))
    use_lots(batch=hand.batch, uses=[Use(D(4), label)], **act(6))
    # 8.00 in four bottles; with the label 9.00.
    given = {day: on_day(make.day(day)).totals.given for day in (3, 4, 5, 6)}
    assert given == {3: 0, 4: 4 * NANO, 5: 4 * NANO, 6: 9 * NANO // 2}
    for day in (3, 4, 5, 6):
        same_as_from_nothing(make.day(day))


def test_a_batch_that_is_lost_whole_is_expensed_under_its_name():
    oil = make.lot("OIL", price="10.00")
    batch = start_batch(stage="dilution", **act(2))
    use_lots(batch=batch, uses=[Use(D(100), oil)], **act(2))
    assert totals().work_in_progress == NANO
    lose_batch(batch=batch, kind="burnt", **act(3, reason="the phone rang"))
    assert totals().abnormal == NANO
    row = KeptFlow.objects.get(into="abnormal: burnt")
    assert (row.value, row.on) == (NANO, make.day(3))
    assert list(differing()) == []


class TestTheComponentIsFrozen:
    def test_a_later_card_costs_no_old_lot_anew(self):
        item = make.item("lime", category="fragrance")
        old = make.lot("OLD", item=item)
        restate_item(
            item=item, category="salt", **act(4, reason="it is no perfume at all")
        )
        new = make.lot("NEW", item=make.item("lime"), on=make.day(5))
        lots = whole_book().valuation.lots
        assert dict(lots["OLD"].start) == {"fragrance": 10 * NANO}
        assert dict(lots["NEW"].start) == {"additive": 10 * NANO}
        assert (old.component, new.component) == ("fragrance", "additive")
        assert list(differing()) == []

    def test_it_moves_house_with_the_history_file(self):
        def lived():
            item = make.item("lime", category="fragrance")
            make.lot("OLD", item=item)
            restate_item(item=item, category="salt", **act(4, reason="no perfume"))
            return write("USD", history_events())

        def moved_in():
            import_history(text=text)
            return lot("OLD").component, list(differing())

        text = in_an_empty_book(lived)
        assert in_an_empty_book(moved_in) == ("fragrance", [])


class TestMadeAnew:
    def test_what_somebody_changed_is_named_and_made_anew(self, book):
        KeptLot.objects.filter(lot__code="OIL").update(left={"oil": 1})
        flow = KeptFlow.objects.get(movement__kind="given")
        KeptFlow.objects.filter(pk=flow.pk).update(money=0, nano=7)
        KeptMonth.objects.filter(account="stock").update(money=1, nano=1)
        found = "; ".join(differing())
        assert "OIL: left 0.000000001 oil kept" in found
        assert "HAND, given on 2026-03-06" in found
        assert "stock in 2026-03: 1.000000001 kept" in found
        remake_values("a test")
        assert list(differing()) == []

    def test_the_command_says_of_how_many(self, book, capsys):
        call_command("remake_values")
        assert capsys.readouterr().out == "The values of 5 lots were made anew.\n"

    def test_an_upgrade_that_comes_to_other_values_says_so_and_stops(self, book):
        refuse_other_values("2.0")
        KeptLot.objects.filter(lot__code="OIL").update(left={"oil": 1})
        refuse_other_values("2.0")
        with make.refused("other values than are kept", "OIL", "remake_values"):
            refuse_other_values("3.0")
        assert KeptBy.objects.get().version == "2.0"
        remake_values("3.0")
        refuse_other_values("3.0")

    def test_a_book_from_before_values_were_kept_gets_them(self, book):
        for model in (KeptMonth, KeptFlow, KeptLot, KeptBy):
            model.objects.all().delete()
        call_command("migrate", verbosity=0)
        assert list(differing()) == []
        assert KeptLot.objects.count() == 5


def test_what_is_too_much_money_to_be_kept_is_refused():
    line = make.lot("OIL", currency="EUR", rate=D("100")).line
    with make.refused("more money than this book can hold"):
        price_line(line=line, price=D("900000000000"), tax=D(0), **act(3))


def test_the_cost_of_many_lots_is_one_question(book, django_assert_num_queries):
    lots = list(Lot.objects.all())
    with django_assert_num_queries(1):
        costs = unit_costs(lots)
    values = whole_book().valuation.lots
    for one in lots:
        cost = values[one.code].unit_cost
        assert costs[one.pk] == D(cost.numerator) / D(cost.denominator)
    assert Batch.objects.count() == 2
