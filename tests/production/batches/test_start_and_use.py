"""Open a batch and take lots into it."""

from decimal import Decimal

import pytest

from production.batches.actions.batches import made_lot, make_lot, start_batch, use_lots
from production.batches.actions.new_batch import Output, Use
from production.lots.actions.lot_deeds import move_lot
from production.models import Batch, Movement
from production.release.actions.statuses import hold_lot
from production.stock.reads.stock import status_on
from production.workshop.actions.cards import ensure_place
from tests import make
from tests.make import act, day
from tests.production.batches.started import of, started, tap, use

pytestmark = pytest.mark.django_db
SAYS = {
    "quarantine": "not released. Release it first",
    "held": "is held",
    "rejected": "Rework it into a new lot",
}


class TestStart:
    def test_it_freezes_the_output_that_is_expected(self):
        batch = started(expected=Decimal("4800"), code="F-12", on=day(4))
        assert (batch.expected, batch.code, batch.started) == (4800, "F-12", day(4))
        assert made_lot(batch) is None
        use(batch, of(make.lot()), on=day(5))
        make_lot(
            batch=batch,
            output=Output(Decimal(90), item=make.item("soap", kind="made")),
            lost_as="steam",
            **act(5),
        )
        assert Batch.objects.get().expected == 4800

    def test_without_a_mark_it_gets_one_from_the_house(self):
        assert started().code.startswith("B-")
        assert started().code != started().code

    def test_it_may_be_a_trial_of_a_version(self):
        version = make.version("cook")
        batch = started("cook", version=version, trial=True)
        assert (batch.trial, batch.version) == (True, version)

    def test_it_refuses_a_version_of_another_stage(self):
        version = make.version("cook", name="winter paste")
        with make.refused("winter paste v1 is for cook, not for dilution"):
            start_batch(stage="dilution", version=version, **act())

    def test_it_refuses_to_expect_nothing(self):
        facts = act()
        with make.refused("more than nothing"):
            start_batch(stage="cook", expected=Decimal(0), **facts)

    def test_it_refuses_a_mark_that_is_taken(self):
        started(code="F-12")
        with make.refused("a batch F-12 already", "another mark"):
            start_batch(stage="cook", code="F-12", **act())

    def test_it_refuses_a_stage_that_is_none(self):
        facts = act()
        with make.refused("Stage", "whipping"):
            start_batch(stage="whipping", **facts)

    def test_the_same_key_starts_one_batch(self):
        batch = make.sent_twice(start_batch, stage="cook", **act())
        assert list(Batch.objects.all()) == [batch]


class TestUse:
    def test_it_takes_each_amount_out_of_its_lot(self):
        oil, salt, batch = make.lot(), make.lot(item=make.item("salt")), started()
        deed = use(batch, of(oil, "250", typed="250 g"), of(salt, "12.5"), on=day(3))
        rows = Movement.objects.filter(kind="used").values_list(
            "deed", "lot", "amount", "on", "batch", "typed"
        )
        assert list(rows) == [
            (deed.pk, oil.pk, -250, day(3), batch.pk, "250 g"),
            (deed.pk, salt.pk, Decimal("-12.5"), day(3), batch.pk, ""),
        ]
        assert make.on_hand(oil) == 750

    def test_it_takes_from_the_place_that_is_named(self):
        oil, shed = make.lot(), ensure_place("shed")
        move_lot(lot=oil, amount=Decimal(400), to=shed, **act())
        use(started(), of(oil, "400", place=shed))
        with make.refused("Only 0 g", "shed"):
            use(Batch.objects.get(), of(oil, "1", place=shed))

    def test_the_same_key_takes_the_goods_once(self):
        oil = make.lot()
        make.sent_twice(use_lots, batch=started(), uses=[of(oil, "250")], **act())
        assert make.on_hand(oil) == 750

    @pytest.mark.parametrize(
        ("uses", "says"),
        [
            ([], "Nothing was entered"),
            ([Use(Decimal(5))], "which lot"),
        ],
    )
    def test_it_refuses_to_use_nothing_in_particular(self, uses, says):
        batch = started()
        with make.refused(says):
            use(batch, *uses)

    @pytest.mark.parametrize("amount", ["0", "-3"])
    def test_it_refuses_an_amount_that_is_not_above_zero(self, amount):
        oil, batch = make.lot(), started()
        with make.refused("above zero"):
            use(batch, of(oil, amount))

    def test_it_refuses_more_than_is_on_hand_and_says_how_much_there_is(self):
        oil, batch = make.lot("OIL-7", grams="80"), started()
        with make.refused("Only 80 g of OIL-7", "100 are asked for", "Take less"):
            use(batch, of(oil, "60"), of(oil, "40"))

    @pytest.mark.parametrize("status", ["quarantine", "held", "rejected"])
    def test_it_refuses_a_lot_that_is_not_released(self, status):
        oil, batch = make.lot(status=status), started()
        with make.refused(SAYS[status]):
            use(batch, of(oil))

    def test_it_refuses_a_lot_that_was_not_there_yet(self):
        oil, batch = make.lot(on=day(6)), started()
        with make.refused("not in the book yet on 2026-03-02"):
            use(batch, of(oil))

    @pytest.mark.parametrize("status", ["quarantine", "held", "rejected"])
    def test_rework_takes_from_any_status(self, status):
        oil = make.lot(status=status)
        use(started("rework"), of(oil))
        assert make.on_hand(oil) == 900

    def test_a_use_dated_before_the_hold_is_right(self):
        oil, batch = make.lot(), started()
        hold_lot(lot=oil, **act(5, reason="odd smell"))
        use(batch, of(oil), on=day(4))
        with make.refused("is held: odd smell"):
            use(batch, of(oil), on=day(5))

    def test_it_writes_nothing_when_one_of_the_lots_is_refused(self):
        oil, bad, batch = make.lot(), make.lot(status="held"), started()
        with make.refused("is held"):
            use(batch, of(oil), of(bad))


class TestExpiredLots:
    def facts(self, **more):
        old = make.lot("OIL-7", item=make.item(category="oil"), expires=day(4))
        batch = started("cook", version=make.version("cook"))
        return {"batch": batch, "uses": [of(old)], **act(5), **more}

    def test_a_recipe_refuses_an_expired_lot(self):
        facts = self.facts()
        with make.refused("OIL-7 expired on 2026-03-04", "with a reason"):
            use_lots(**facts)

    def test_the_last_day_still_counts(self):
        facts = self.facts(on=day(4))
        use_lots(**facts)
        assert make.on_hand(facts["uses"][0].lot) == 900

    def test_an_owner_uses_it_all_the_same_with_a_reason(self):
        facts = self.facts(override=True, reason="smells and tastes fresh")
        use_lots(**facts)
        assert make.on_hand(facts["uses"][0].lot) == 900

    def test_an_owner_without_a_reason_does_not(self):
        facts = self.facts(override=True)
        with make.refused("Write the reason"):
            use_lots(**facts)

    def test_a_maker_does_not(self):
        facts = self.facts(override=True, reason="x", by=make.maker())
        with make.refused("Only an owner"):
            use_lots(**facts)

    def test_no_override_reaches_a_lot_that_is_not_released(self):
        facts = self.facts(override=True, reason="x")
        hold_lot(lot=facts["uses"][0].lot, **act(3, reason="complaint"))
        with make.refused("is held"):
            use_lots(**facts)

    def test_without_a_recipe_nothing_binds(self):
        facts = self.facts(batch=started("rework"))
        use_lots(**facts)
        assert make.on_hand(facts["uses"][0].lot) == 900


class TestOnTap:
    def test_water_is_received_and_used_in_one_deed_at_its_metered_price(self):
        batch = started()
        deed = use(batch, Use(Decimal(2500), item=tap()), on=day(3))
        came, went = Movement.objects.order_by("id")
        assert (came.kind, went.kind) == ("received", "used")
        assert came.lot == went.lot
        assert came.deed == went.deed == deed
        assert came.value == Decimal("2.25")
        assert make.on_hand(came.lot) == 0
        assert status_on(came.lot, day(3)) == "released"

    def test_water_without_a_price_is_free(self):
        use(started(), Use(Decimal(2500), item=tap(None)))
        assert Movement.objects.get(kind="received").value == 0

    def test_two_deeds_draw_two_lots(self):
        batch = started()
        use(batch, Use(Decimal(5), item=tap()))
        use(batch, Use(Decimal(5), item=tap()))
        assert tap().lots.count() == 2

    def test_other_items_come_from_a_lot(self):
        oil, batch = make.item(), started()
        with make.refused("rapeseed oil is not on tap", "Choose the lot"):
            use(batch, Use(Decimal(5), item=oil))
