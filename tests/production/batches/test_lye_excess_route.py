"""The route by a declared lye excess: diluted first, neutralised, then finished.

The paste burns until a passed neutrality check says otherwise; free alkali burns skin
and eyes.
"""

from decimal import Decimal

import pytest

from production.batches.actions import days as deeds
from production.batches.actions.batches import make_lot, start_batch, use_lots
from production.batches.actions.new_batch import NewBatch, Output, Use
from production.correcting.actions.entries import correct_movement
from production.lots.actions.lot_deeds import give
from production.models import Lot, Version
from production.recipes.actions.formulas import NewVersionLine
from production.release.actions.readings import note_measurement
from production.release.actions.statuses import release_lot
from production.selling.actions.customers import ensure_customer
from production.stock.reads.stock import status_on
from tests import make
from tests.once import remembered
from tests.production.testing import still_open

pytestmark = pytest.mark.django_db
CAUSTIC = "declared lye excess"


@pytest.fixture
@remembered
def paste(owner):
    """A lye-heavy paste, released by hand for the dilution."""
    for name in ("diluted soap", "finished soap", "bulk"):
        make.item(name, kind="made")
    ensure_customer("The Tin Lantern")
    version = make.version(superfat=Decimal("-0.02"), lye_excess=True)
    made = make.cook(version=version, code="PASTE", reason="weighed warm")
    release_lot(lot=made, **make.act(2))
    return made


def dilute(lot, number=3, amount="300", version=None, **facts):
    """Diluted soap with the first status that it is given by itself."""
    return make.batch(
        uses=[(lot, amount)],
        amount=amount,
        status="",
        on=make.day(number),
        version=version,
        **facts,
    )


def check(lot, number=4, passed=True):
    note_measurement(lot=lot, readings=[make.check(passed)], **make.act(number))


def release(lot, number=4, **facts):
    return release_lot(lot=lot, **make.act(number), **facts)


def finish(lot, number=5, amount="100", stage="finishing", makes="finished soap"):
    uses = [(lot, amount)]
    return make.batch(stage, uses=uses, makes=makes, amount=amount, on=make.day(number))


def thin_recipe():
    """A dilution that releases on making."""
    line = NewVersionLine(make.item("paste", kind="made"), share=Decimal(1))
    return make.version(
        "dilution",
        makes=make.item("diluted soap", kind="made"),
        lines=[line],
        release=Version.Release.MAKING,
    )


def status(lot, number=28):
    return status_on(lot, make.day(number))


def called_released(paste):
    """Diluted soap that nobody tested, released in an earlier book."""
    return make.batch(uses=[(paste, "300")], amount="300", on=make.day(3), tested=False)


class TestThePaste:
    def test_it_is_released_by_hand_without_a_check(self, paste):
        assert status(paste) == "released"

    def test_a_failed_check_does_not_stop_it_from_being_diluted(self, owner):
        version = make.version(superfat=Decimal("-0.02"), lye_excess=True)
        made = make.cook(version=version, readings=[make.check(passed=False)])
        release(made, 2)
        assert dilute(made).code

    def test_a_paste_without_the_declaration_still_needs_its_check(self, owner):
        made = make.cook(version=make.version())
        with make.refused("No neutrality check"):
            release(made, 2)

    @pytest.mark.parametrize("stage", ["finishing", "filling", "packing"])
    def test_it_is_not_finished_filled_or_packed(self, paste, stage):
        with make.refused(CAUSTIC, "burns skin and eyes"):
            finish(paste, stage=stage)

    def test_it_is_not_sold(self, paste):
        with make.refused(CAUSTIC):
            make.sale(paste, on=make.day(3))

    @pytest.mark.parametrize("why", ["gift", "tester", "own use"])
    def test_nobody_is_given_any(self, paste, why):
        with make.refused(CAUSTIC):
            give(lot=paste, amount=Decimal(5), why=why, **make.act(3))

    @pytest.mark.parametrize("why", ["sample", "retained"])
    def test_a_sample_of_it_may_be_taken(self, paste, why):
        give(lot=paste, amount=Decimal(5), why=why, **make.act(3))
        assert make.on_hand(paste) == 895

    def test_only_a_cook_has_a_lye_excess(self, owner):
        make.item("paste", kind="made")
        make.item("rapeseed oil", category="oil")
        with make.refused("Only a cook has a lye excess"):
            make.version("dilution", superfat=Decimal("-0.02"), lye_excess=True)


class TestTheDilutedSoap:
    def test_it_stays_in_quarantine_although_its_recipe_releases_on_making(self, paste):
        assert status(dilute(paste, version=thin_recipe())) == "quarantine"

    def test_so_it_does_without_a_recipe_and_in_a_preparation(self, paste):
        assert status(dilute(paste)) == "quarantine"
        assert status(dilute(paste, stage="preparation")) == "quarantine"

    def test_soap_of_a_neutral_paste_is_released_on_making(self, owner):
        neutral = make.cook(readings=[make.check()])
        release(neutral, 2)
        assert status(dilute(neutral, version=thin_recipe())) == "released"

    def test_it_is_not_released_before_it_is_neutral(self, paste):
        soap = dilute(paste)
        with make.refused("No neutrality check"):
            release(soap)
        with make.refused("No neutrality check"):
            release(soap, override=True, reason="in a hurry")

    @pytest.mark.parametrize("stage", ["finishing", "filling", "packing"])
    def test_nothing_is_made_of_it_also_where_it_was_called_released(
        self, paste, stage
    ):
        soap = called_released(paste)
        assert status(soap) == "released"
        with make.refused(CAUSTIC):
            finish(soap, stage=stage)

    def test_it_is_not_sold_also_where_it_was_called_released(self, paste):
        soap = called_released(paste)
        with make.refused(CAUSTIC):
            make.sale(soap, on=make.day(5))

    def test_after_a_passed_check_it_goes_on_to_the_customer(self, paste):
        soap = dilute(paste)
        check(soap)
        release(soap)
        finished = finish(soap)
        make.sale(finished, on=make.day(6))
        assert make.on_hand(finished) == 99

    def test_a_check_of_its_batch_counts_as_well(self, paste):
        soap = dilute(paste)
        note_measurement(batch=soap.batch, readings=[make.check()], **make.act(4))
        release(soap)
        assert make.on_hand(finish(soap)) == 100

    def test_a_failed_check_does_not_free_it(self, paste):
        soap = dilute(paste)
        check(soap, passed=False)
        with make.refused("failed"):
            release(soap)

    def test_a_batch_that_was_checked_before_its_lot_was_weighed_is_free(self, paste):
        batch = start_batch(stage="dilution", **make.act(3))
        uses = [Use(Decimal(300), paste)]
        use_lots(batch=batch, uses=uses, **make.act(3))
        note_measurement(batch=batch, readings=[make.check()], **make.act(4))
        output = Output(Decimal(300), make.item("diluted soap", kind="made"))
        soap = make_lot(batch=batch, output=output, **make.act(4))
        assert status(soap) == "released"
        assert not still_open(soap)

    def test_it_is_not_finished_on_a_day_before_its_check(self, paste):
        soap = called_released(paste)
        check(soap, 8)
        with make.refused(CAUSTIC):
            finish(soap, 5)
        assert make.on_hand(finish(soap, 8)) == 100

    def test_a_use_is_not_moved_to_a_day_before_the_check(self, paste):
        soap = called_released(paste)
        check(soap, 8)
        used = finish(soap, 9).batch.movements.get(kind="used")
        with make.refused(CAUSTIC):
            correct_movement(
                movement=used,
                amount=Decimal(100),
                moved_to=make.day(5),
                **make.act(10, reason="wrong day"),
            )


class TestAtSeveralRemoves:
    def test_a_second_dilution_is_as_caustic_as_the_first(self, paste):
        first = called_released(paste)
        with make.refused(CAUSTIC):
            dilute(first, 4, amount="200")
        second = dilute(first, 4, amount="200", stage="rework")
        assert status(second) == "quarantine"
        with make.refused("No neutrality check"):
            release(second, 5)
        check(second, 5)
        release(second, 5)
        assert make.on_hand(finish(second, 6)) == 100
        with make.refused(CAUSTIC):
            finish(first, 6)

    def test_a_check_of_the_first_clears_what_is_made_of_it(self, paste):
        first = called_released(paste)
        check(first, 4)
        second = dilute(first, 4, amount="200")
        assert status(second) == "released"
        assert make.on_hand(finish(second, 5)) == 100

    def test_lye_heavy_paste_on_top_makes_it_caustic_again(self, paste):
        first = called_released(paste)
        check(first, 4)
        mixed = make.batch(
            uses=[(first, "100"), (paste, "100")],
            amount="200",
            status="",
            on=make.day(5),
        )
        assert status(mixed) == "quarantine"
        with make.refused("No neutrality check"):
            release(mixed, 5)

    def test_a_rework_of_it_needs_a_check(self, paste):
        again = dilute(paste, stage="rework", makes="paste")
        with make.refused("No neutrality check"):
            release(again)

    def test_a_long_line_of_mixtures_is_judged_at_once(self, paste):
        """Each takes both before it: the ways back double at every remove."""
        one, other = dilute(paste), dilute(paste)
        for _ in range(20):
            uses = [(one, "1"), (other, "1")]
            one, other = (
                make.batch(
                    "rework", uses=uses, amount="2", on=make.day(4), tested=False
                )
                for _ in range(2)
            )
        assert still_open(Lot.objects.get(pk=one.pk))

    def test_a_craft_day_of_it_needs_the_check_noted_with_it(self, paste):
        with make.refused(CAUSTIC):
            craft_day(paste, ())
        craft_day(paste, (make.check(),))
        assert status(Lot.objects.get(item__name="diluted soap")) == "released"


def craft_day(paste, readings):
    thin = make.item("diluted soap", kind="made")
    fine = make.item("finished soap", kind="made")
    deeds.craft_day(
        dilution=NewBatch(
            stage="dilution",
            output=Output(Decimal(300), thin),
            uses=[Use(Decimal(300), paste)],
            readings=readings,
        ),
        finishing=NewBatch(stage="finishing", output=Output(Decimal(300), fine)),
        **make.act(4),
    )


class TestALaterFailedCheck:
    @pytest.fixture
    def soap(self, paste):
        soap = dilute(paste)
        check(soap, 4)
        release(soap, 4)
        return soap

    def test_it_stops_the_soap_again(self, soap):
        finish(soap, 5)
        check(soap, 6, passed=False)
        with make.refused("failed"):
            finish(soap, 7)
        check(soap, 8)
        assert make.on_hand(finish(soap, 8)) == 100

    def test_it_stops_what_was_made_of_it_too(self, soap):
        finished = finish(soap, 5)
        check(soap, 6, passed=False)
        with make.refused("failed"):
            make.sale(finished, on=make.day(7))
        with make.refused("failed"):
            finish(finished, 7, stage="filling", makes="bulk")

    def test_unless_that_has_passed_a_check_of_its_own(self, soap):
        finished = finish(soap, 5)
        check(soap, 6, passed=False)
        check(finished, 6)
        make.sale(finished, on=make.day(7))
        assert make.on_hand(finished) == 99

    def test_a_check_noted_late_for_an_earlier_day_does_not_outdo_it(self, soap):
        check(soap, 6, passed=False)
        check(soap, 5)
        with make.refused("failed"):
            finish(soap, 7)
