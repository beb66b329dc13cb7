"""Ways that a hasty maker found past the guards; each ends in a sentence now."""

from decimal import Decimal as D

import pytest

from production.batches.actions.batches import make_lot, start_batch, use_lots
from production.batches.actions.new_batch import Output, Use
from production.buying.actions.purchases import open_stock
from production.chemistry.domain.alkali_names import strong_alkali
from production.correcting.actions.entries import reverse_movement
from production.correcting.actions.undoing import undo_deed
from production.exchange.actions.replaying import import_history
from production.fitness.domain.reasons import Purpose
from production.fitness.reads import fitness
from production.lots.actions.lot_deeds import give, move_lot
from production.lots.actions.places import change_place
from production.models import Item, Lot
from production.release.actions.readings import note_measurement
from production.release.actions.statuses import hold_lot, release_lot
from production.selling.actions.customers import ensure_customer
from production.stock.actions.opening_lots import NewLot
from production.workshop.actions.cards import ensure_place
from production.workshop.actions.items import restate_item
from tests import make
from tests.make import act, day
from tests.once import remembered
from tests.production.history_cases import file_of

pytestmark = pytest.mark.django_db


@pytest.fixture
@remembered
def paste():
    for name in ("paste", "diluted soap"):
        make.item(name, kind="made")
    make.item("hand wash", kind="made", unit="piece")
    return make.cook(code="PASTE")


def rework(*uses, on=3, code="AR"):
    return make.batch(
        "rework",
        uses=uses,
        amount="100",
        makes="diluted soap",
        code=code,
        status="quarantine",
        on=day(on),
    )


def release(lot, on=4, **facts):
    return release_lot(lot=lot, **act(on, **facts))


class TestTakingTheSoapOut:
    def test_the_entry_of_a_soap_is_not_taken_out_of_what_was_made(self, paste):
        made = rework((paste, "100"))
        entry = made.batch.movements.get(kind="used")
        with make.refused("has made its lot", "take back what was made first"):
            reverse_movement(movement=entry, **act(4, reason="not so"))

    def test_a_deed_that_made_it_as_a_whole_is_taken_back(self, paste):
        made = rework((paste, "100"))
        undo_deed(undone=made.batch.deed, **act(4))
        assert make.on_hand(paste) == 900

    def test_nor_is_it_left_out(self, paste):
        water = make.lot("W", item=make.item("distilled water", category="water"))
        made = rework((water, "100"))
        with make.refused("no soap went into AR"):
            release(made)

    def test_bottles_of_nothing_wait_too(self, paste):
        bottle = make.batch(
            "filling",
            uses=[(make.bottles(), "1")],
            makes="hand wash",
            unit="piece",
            amount="1",
            status="quarantine",
            code="E1",
        )
        with make.refused("no soap went into E1"):
            release(bottle)

    def test_what_is_no_soap_by_its_card_is_not_asked(self, paste):
        brine = make.item("brine", kind="made", category="salt")
        salt = make.lot("SALT", item=make.item("salt", category="salt"))
        made = make.batch(
            "rework", uses=[(salt, "10")], makes=brine.name, amount="10", status=""
        )
        assert release(made).status == "released"


def test_a_later_pass_of_the_rest_is_not_of_what_was_taken_before(paste):
    make_failed = {"lot": paste, "readings": [make.check(False)]}
    note_measurement(**make_failed, **act(2))
    taken = rework((paste, "100"))
    note_measurement(lot=paste, readings=[make.check()], **act(6))
    with make.refused("No neutrality check of AR"):
        release(taken, 7)
    note_measurement(lot=taken, readings=[make.check()], **act(7))
    assert release(taken, 7).status == "released"


def test_what_is_made_here_is_no_fragrance_by_a_makers_word(paste):
    soap = make.item("hand wash")
    lot = open_stock(item=soap, lot=NewLot(D(10)), **act())
    with make.refused("Only an owner"):
        restate_item(item=soap, category="fragrance", by=make.maker(), on=day(3))
    assert not fitness(lot, Purpose.SALE, day(3)).fit


def test_a_retained_piece_for_a_person_is_asked_about(paste):
    with make.refused("No neutrality check"):
        give(lot=paste, amount=D(5), why="retained", recipient="Anna", **act(3))


def test_a_place_with_caustic_goods_in_it_becomes_no_customers(paste):
    shop = ensure_place("shelf")
    tin = ensure_customer("The Tin Lantern")
    move_lot(lot=paste, amount=D(5), to=shop, **act(3))
    with make.refused("No neutrality check", "Carry it back from shelf"):
        change_place(place=shop, customer=tin)


@pytest.mark.parametrize(
    "name", ["K.O.H. pearls", "k.o.h.", "NaOH.", "K O H flakes", "pearls, K-O-H"]
)
def test_dots_do_not_hide_a_name(name):
    assert strong_alkali(name) is not None


class TestAFileIsNoWayAround:
    def taken_in(self, *events):
        import_history(text=file_of(list(events)))

    def test_a_hold_of_this_book_is_not_lifted_by_one(self, paste):
        lot = make.filled("F")
        hold_lot(lot=lot, **act(4, reason="recall of the oil"))
        free = {"type": "status", "date": "2026-03-05", "lot": "F"}
        with make.refused("did not come with a past"):
            self.taken_in(free | {"status": "released"})

    def test_nor_is_its_paste_sold_by_one(self, paste):
        sold = {
            "type": "sale",
            "date": "2026-03-05",
            "number": "S-7",
            "channel": "stall",
            "customer": None,
            "lines": [{"lot": "PASTE", "amount": "5", "unit_price": "1"}],
        }
        with make.refused("No neutrality check of PASTE"):
            self.taken_in(sold)

    def test_nor_tested_before_it(self, paste):
        tested = {
            "type": "measurement",
            "date": "2026-03-05",
            "lot": "PASTE",
            "what": "neutrality",
            "passed": True,
            "method": "before",
        }
        with make.refused("filled goods, counted in pieces"):
            self.taken_in(tested)


def test_the_first_word_on_a_material_is_still_open_to_all():
    lot = make.lot("X", item=make.item("white powder"))
    item = Item.objects.get(pk=lot.item_id)
    restate_item(item=item, category="salt", by=make.maker(), on=day(3))
    assert Item.objects.get(pk=item.pk).category == "salt"


def test_a_trial_is_no_way_to_bottle_potash(paste):
    flakes = make.koh(code="KOH")
    with make.refused("alkali as such"):
        make.batch(
            "filling",
            uses=[(flakes, "10")],
            makes="hand wash",
            unit="piece",
            amount="1",
            trial=True,
        )


def test_a_pot_that_makes_pieces_takes_no_declared_lye_excess(paste):
    version = make.version(superfat=D("-0.02"), lye_excess=True)
    heavy = make.cook(version=version, code="HEAVY", reason="weighed warm")
    release_lot(lot=heavy, **act(2))
    batch = start_batch(stage="dilution", **act(3))
    use = Use(D(100), heavy)
    use_lots(batch=batch, uses=[use], **act(3))
    out = Output(D(1), make.item("hand wash"), net_mass=D(100))
    with make.refused("declared lye excess"):
        make_lot(batch=batch, output=out, **act(3))


def test_nothing_is_packed_into_soap(paste):
    water = make.lot("W", item=make.item("distilled water", category="water"))
    made = make.batch(
        "packing",
        uses=[(water, "250")],
        makes="hand wash",
        unit="piece",
        amount="1",
        status="quarantine",
        code="SET",
    )
    with make.refused("no soap went into SET"):
        release(made)


class TestAWordDoesNotChangeTheGoods:
    """An owner calls the flakes an additive, or the soap, while they stand here."""

    def test_flakes_that_were_called_something_else_burn_as_before(self):
        tub = make.koh(code="K1")
        restate_item(
            item=tub.item, category="additive", alkali="", **act(3, reason="oops")
        )
        assert not fitness(Lot.objects.get(pk=tub.pk), Purpose.SALE, day(4)).fit

    def test_soap_made_of_them_still_waits_for_its_check(self, paste):
        tub = Item.objects.get(alkali="KOH")
        restate_item(item=tub, category="additive", alkali="", **act(3, reason="oops"))
        with make.refused("No neutrality check of PASTE"):
            release(paste)

    def test_soap_from_outside_stays_soap(self):
        soap = make.item("diluted soap", kind="made")
        lot = open_stock(item=soap, lot=NewLot(D(2000)), **act(2))
        restate_item(item=soap, category="additive", **act(3, reason="oops"))
        assert not fitness(lot, Purpose.SALE, day(4)).fit

    def test_what_came_after_the_word_is_what_the_word_says(self):
        soap = make.item("brine", kind="made")
        restate_item(item=soap, category="salt", **act(2, reason="it is brine"))
        lot = open_stock(item=soap, lot=NewLot(D(2000)), **act(3))
        assert fitness(lot, Purpose.USE, day(4)).fit
