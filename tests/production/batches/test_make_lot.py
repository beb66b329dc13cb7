"""What came out: a batch makes one lot."""

from decimal import Decimal

import pytest

from production.batches.actions.batches import (
    make_lot,
    run_batch,
    start_batch,
    use_lots,
)
from production.batches.actions.new_batch import Output, Use
from production.batches.actions.trials import note_look, promote_trial
from production.batches.actions.uses import made_lot
from production.correcting.actions.undoing import undo_deed
from production.models import Batch, Lot, Stage
from production.recipes.actions.formulas import NewVersionLine
from production.release.actions.readings import note_measurement
from production.selling.actions.customers import ensure_customer
from production.selling.actions.sales import NewSaleLine, sell
from production.stock.actions.opening_lots import Reading
from production.stock.reads.stock import status_on
from production.workshop.actions.cards import ensure_place
from production.yields.domain.hours_and_losses import NewLoss, NewWork
from production.yields.reads import batch_balance
from tests import make
from tests.make import DAY, act, day

pytestmark = pytest.mark.django_db
GRAMS = Decimal(1000)


def soap():
    return make.item("soap", kind="made")


def filled_pot(stage="finishing", grams=GRAMS, **facts):
    """An open batch into which something went."""
    batch = start_batch(stage=stage, **act(), **facts)
    thin = make.proven(grams=str(grams), item=make.item("thin soap", kind="made"))
    use_lots(batch=batch, uses=[Use(grams, lot=thin)], **act())
    return batch


def output(amount="990", **facts):
    return Output(Decimal(amount), **{"item": soap(), **facts})


def came_out(batch, amount="990", out=None, **facts):
    return make_lot(
        batch=batch, output=output(amount, **(out or {})), **{**act(), **facts}
    )


class TestWhatItWrites:
    def test_a_lot_of_its_batch_with_one_entry(self):
        batch = filled_pot()
        shed = ensure_place("shed")
        facts = {"code": "SOAP-1", "place": shed, "typed": "990 g", "expires": day(30)}
        lot = came_out(batch, out=facts, on=day(4))
        entry = lot.movements.get()
        assert (entry.kind, entry.amount, entry.on) == ("made", 990, day(4))
        assert (entry.batch, entry.place, entry.typed) == (batch, shed, "990 g")
        assert (lot.code, lot.expires, lot.item) == ("SOAP-1", day(30), soap())
        assert made_lot(batch) == lot == batch.lot

    def test_work_and_losses_of_the_same_deed(self):
        batch = filled_pot()
        lot = came_out(
            batch,
            losses=[NewLoss("left on the walls", Decimal(10))],
            work=[NewWork("labour", Decimal(2), Decimal(18))],
        )
        [work], [loss] = batch.work.all(), batch.losses.all()
        assert work.deed == loss.deed == lot.deed

    def test_pieces_keep_their_net_mass(self):
        bottle = make.item("hand soap 250", kind="made", unit="piece")
        out = {"item": bottle, "net_mass": Decimal("247.5")}
        assert came_out(filled_pot("filling"), "4", out).net_mass == Decimal("247.5")

    def test_the_formula_says_what_is_made_and_how_long_it_keeps(self):
        version = make.version("cook", shelf_days=10)
        lot = came_out(filled_pot("cook", version=version), out={"item": None})
        assert (lot.item.name, lot.expires) == ("paste", day(12))

    def test_the_same_key_answers_with_the_first_lot(self):
        batch = filled_pot()
        lot = make.sent_twice(make_lot, batch=batch, output=output(), **act())
        assert lot == batch.lot


class TestFirstStatus:
    @pytest.mark.parametrize("stage", Stage.values)
    def test_without_a_recipe_only_preparations_and_dilutions_are_released(self, stage):
        on_making = stage in {"preparation", "dilution"}
        expected = "released" if on_making else "quarantine"
        assert status_on(came_out(filled_pot(stage)), DAY) == expected

    @pytest.mark.parametrize(
        ("release", "expected"),
        [("making", "released"), ("hand", "quarantine"), ("check", "quarantine")],
    )
    def test_a_recipe_says_how_its_lot_is_released(self, release, expected):
        line = NewVersionLine(make.item(), share=Decimal("0.3"))
        version = make.version("dilution", lines=[line], release=release)
        lot = came_out(filled_pot("dilution", version=version), "1000")
        assert status_on(lot, DAY) == expected


class TestWhatItRefuses:
    def test_a_second_lot(self):
        batch = filled_pot()
        lot = came_out(batch)
        again = output()
        with make.refused(f"has made {lot} already", "A batch makes one lot"):
            make_lot(batch=batch, output=again, **act())

    def test_a_lot_of_nothing(self):
        batch, out = start_batch(stage="cook", **act()), output()
        with make.refused("Nothing has gone into"):
            make_lot(batch=batch, output=out, **act())

    def test_a_day_before_the_last_use(self):
        batch, out = filled_pot(), output()
        oil = make.lot(on=day(6))
        use_lots(batch=batch, uses=[Use(GRAMS, lot=oil)], **act(6))
        with make.refused("used lots after 2026-03-05", "later day"):
            make_lot(batch=batch, output=out, **act(5))

    @pytest.mark.parametrize("amount", ["0", "-1"])
    def test_an_amount_that_is_not_above_zero(self, amount):
        batch, out = filled_pot(), output(amount)
        with make.refused("how much came out"):
            make_lot(batch=batch, output=out, **act())

    def test_something_that_has_no_name(self):
        batch, out = filled_pot(), output(item=None)
        with make.refused("Say what came out"):
            make_lot(batch=batch, output=out, **act())

    def test_a_code_that_is_taken(self):
        batch, out = filled_pot(), output(code="OIL-7")
        make.lot("OIL-7")
        with make.refused("OIL-7 is taken"):
            make_lot(batch=batch, output=out, **act())

    def test_half_a_piece(self):
        bottle = make.item("hand soap 250", kind="made", unit="piece")
        batch, out = filled_pot("filling"), output("3.5", item=bottle)
        with make.refused("whole pieces"):
            make_lot(batch=batch, output=out, **act())


class TestTheBandOfARecipe:
    def version(self, **terms):
        line = NewVersionLine(make.item(category="oil"), share=Decimal(1))
        return make.version("finishing", makes=soap(), lines=[line], **terms)

    def test_a_difference_beyond_it_asks_for_a_reason(self):
        batch, out = filled_pot(version=self.version()), output("994.999")
        with make.refused("1000 g went into", "5.001 g", "0.5 %", "give the reason"):
            make_lot(batch=batch, output=out, **act())

    def test_more_than_went_in_asks_too(self):
        batch, out = filled_pot(version=self.version()), output("1006")
        with make.refused("Was water forgotten", "6 g cannot come out of nothing"):
            make_lot(batch=batch, output=out, **act())

    def test_a_difference_within_it_does_not(self):
        lot = came_out(filled_pot(version=self.version()), "995")
        assert batch_balance(lot.batch).difference == 5

    def test_the_band_is_the_recipes(self):
        version = self.version(band=Decimal("0.02"))
        assert make.on_hand(came_out(filled_pot(version=version), "980")) == 980

    def test_a_reason_lets_it_stand(self):
        lot = came_out(
            filled_pot(version=self.version()), "900", reason="pot boiled over"
        )
        assert batch_balance(lot.batch).difference == 100

    def test_a_named_loss_explains_it(self):
        loss = NewLoss("spill", Decimal(100))
        lot = came_out(filled_pot(version=self.version()), "900", losses=[loss])
        assert batch_balance(lot.batch).difference == 0

    def test_what_a_cook_boils_off_needs_no_reason(self):
        lot = came_out(
            filled_pot("cook", version=make.version()), "800", {"item": None}
        )
        balance = batch_balance(lot.batch)
        assert (balance.evaporation, balance.difference) == (200, 0)

    def test_without_a_recipe_no_band_binds(self):
        assert make.on_hand(came_out(filled_pot(), "500")) == 500

    def test_pieces_of_an_unknown_net_mass_are_not_judged(self):
        bottle = make.item("hand soap 250", kind="made", unit="piece")
        line = NewVersionLine(make.item(category="oil"), share=Decimal(1))
        version = make.version("filling", makes=bottle, lines=[line])
        lot = came_out(filled_pot("filling", version=version), "1", {"item": bottle})
        assert batch_balance(lot.batch) is None

    def test_packaging_weighs_nothing_in_it(self):
        bottle = make.item("hand soap 250", kind="made", unit="piece")
        line = NewVersionLine(make.item(category="oil"), share=Decimal(1))
        version = make.version("filling", makes=bottle, lines=[line])
        batch = filled_pot("filling", version=version)
        uses = [Use(Decimal(4), lot=make.bottles())]
        use_lots(batch=batch, uses=uses, **act())
        lot = came_out(batch, "4", {"item": bottle, "net_mass": Decimal(250)})
        assert batch_balance(lot.batch).difference == 0


class TestTakenBackAndMadeAgain:
    def test_the_batch_makes_the_same_lot_again(self):
        batch = filled_pot()
        lot = came_out(batch, "900")
        undo_deed(undone=lot.deed, **act())
        assert made_lot(batch) is None
        assert make.on_hand(lot) == 0
        again = came_out(batch, "950", on=day(3))
        assert again == lot
        assert make.on_hand(lot) == 950
        assert Lot.objects.filter(batch=batch).count() == 1

    def test_more_may_go_in_before_it_is_made_again(self):
        batch, oil = filled_pot(), make.lot()
        undo_deed(undone=came_out(batch).deed, **act())
        use_lots(batch=batch, uses=[Use(Decimal(5), lot=oil)], **act())
        assert make.on_hand(came_out(batch)) == 990

    def test_it_does_not_turn_into_something_else(self):
        batch = filled_pot()
        undo_deed(undone=came_out(batch).deed, **act())
        out = output(item=make.item("paste", kind="made"))
        with make.refused("makes soap, not paste"):
            make_lot(batch=batch, output=out, **act())

    def test_the_same_key_answers_with_it_too(self):
        batch = filled_pot()
        lot = came_out(batch)
        undo_deed(undone=lot.deed, **act())
        again = make.sent_twice(make_lot, batch=batch, output=output(), **act())
        assert again == lot

    def test_losses_and_hours_of_what_was_taken_back_do_not_count_twice(self):
        batch = filled_pot()
        loss = NewLoss("spill", Decimal(10))
        hours = NewWork("labour", Decimal(2), Decimal(18))
        lot = came_out(batch, losses=[loss], work=[hours])
        undo_deed(undone=lot.deed, **act())
        came_out(batch, losses=[loss], work=[hours])
        assert sum(work.hours for work in batch.work.all()) == 2
        assert batch_balance(batch).difference == 0


class TestAWholeBatchInOneDeed:
    def test_what_went_in_and_what_came_out_share_it(self):
        lot = make.batch(uses=[(make.lot(), "900")], amount="900", code="D-1")
        deeds = {row.deed for row in lot.batch.movements.all()}
        assert deeds == {lot.deed} == {lot.batch.deed}

    def test_it_keeps_mark_version_and_expected_output(self):
        lot = make.cook(
            version=make.version(), batch_code="K-4", expected=Decimal(901), trial=True
        )
        batch = lot.batch
        assert (batch.code, batch.expected, batch.trial) == ("K-4", 901, True)
        assert batch.version.number == 1

    def test_a_fault_at_its_end_leaves_nothing_of_its_start(self):
        oil, item = make.lot(), soap()
        with make.refused("how much came out"):
            run_batch(
                stage="finishing",
                uses=[Use(Decimal(5), lot=oil)],
                output=Output(Decimal(0), item=item),
                **act(),
            )
        assert not Batch.objects.exists()

    def test_the_same_key_answers_with_the_lot_that_was_made(self):
        lot = make.sent_twice(
            run_batch,
            stage="dilution",
            uses=[Use(Decimal(300), lot=make.lot())],
            output=output("300"),
            **act(),
        )
        assert lot.batch is not None

    def test_the_same_key_does_not_answer_with_the_water_that_was_drawn(self):
        water = make.item("tap water", category="water", on_tap=True)
        lot = make.sent_twice(
            run_batch,
            stage="dilution",
            uses=[Use(Decimal(300), item=water)],
            output=output("300"),
            **act(),
        )
        assert lot.item == soap()

    def test_two_sizes_are_two_fillings_of_one_soap(self):
        finished = make.proven(grams="10000", item=soap())
        for size, pieces in (("250 mL", "10"), ("500 mL", "5")):
            make.batch(
                "filling",
                uses=[(finished, "2500")],
                makes=f"hand soap {size}",
                unit="piece",
                amount=pieces,
            )
        assert make.on_hand(finished) == 5000
        assert Batch.objects.filter(stage="filling").count() == 2


class TestTrials:
    def trial(self):
        return make.filled(trial=True)

    def test_a_trial_is_not_sold(self):
        lot = self.trial()
        house = ensure_customer("The Tin Lantern")
        line = NewSaleLine(lot, Decimal(1))
        with make.refused("is a trial", "An owner accepts it"):
            sell(lines=[line], customer=house, **act())

    def test_a_promoted_trial_is_sold_from_that_day_on(self):
        lot = self.trial()
        make.seen(lot.batch)
        promotion = promote_trial(
            batch=lot.batch, **act(5, reason="four people washed with it for a month")
        )
        assert promotion.batch == lot.batch
        line = NewSaleLine(lot, Decimal(1))
        house = ensure_customer("The Tin Lantern")
        with make.refused("is a trial"):
            sell(lines=[line], customer=house, **act(4))
        assert make.sale(lot, on=day(5)).lines.count() == 1

    def test_only_an_owner_promotes(self):
        batch = self.trial().batch
        facts = act(by=make.maker(), reason="x")
        with make.refused("Only an owner may accept a trial"):
            promote_trial(batch=batch, **facts)

    def test_promotion_needs_a_reason(self):
        batch = self.trial().batch
        with make.refused("Write the reason for accepting a trial"):
            promote_trial(batch=batch, **act())

    def test_what_is_no_trial_is_not_promoted(self):
        batch = make.filled().batch
        with make.refused("is no trial"):
            promote_trial(batch=batch, **act(reason="x"))

    def test_it_is_promoted_once(self):
        batch = self.trial().batch
        make.seen(batch)
        make.sent_twice(promote_trial, batch=batch, **act(4, reason="good"))
        with make.refused("is accepted already"):
            promote_trial(batch=batch, **act(4, reason="better"))

    def test_it_is_accepted_only_with_its_looks_and_readings(self):
        batch = self.trial().batch
        facts = {"batch": batch, **act(5, reason="good")}
        with make.refused("not accepted yet", "after a day or later", "one reading"):
            promote_trial(**facts)
        note_look(batch=batch, look="minutes", clear=True, **act(2))
        with make.refused("after a day or later"):
            promote_trial(**facts)
        note_look(batch=batch, look="week", clear=True, **act(9))
        facts |= act(9, reason="good")
        # Whether it is clear is part of the look, no reading by itself.
        with make.refused("one reading"):
            promote_trial(**facts)
        reading = Reading("pH", Decimal("9.6"))
        note_measurement(lot=batch.lot, readings=[reading], **act(9))
        assert promote_trial(**facts).batch == batch

    def test_the_past_was_accepted_by_its_own_hand(self):
        batch = self.trial().batch
        facts = act(5, reason="good", past=True)
        assert promote_trial(batch=batch, **facts).batch == batch
