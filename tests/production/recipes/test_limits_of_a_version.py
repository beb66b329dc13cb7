"""A recipe asks for readings: outside its limits a reading has not passed."""

from decimal import Decimal

import pytest

from production.models import Measurement, VersionCheck
from production.recipes.domain.limits import NewCheck
from production.release.actions.readings import note_measurement
from production.stock.actions.opening_lots import Reading
from tests import make

pytestmark = pytest.mark.django_db
Check = NewCheck

PH = Check("pH", Decimal("9"), Decimal("10.2"), "1 g in 10 g of water")


def version(*checks, **facts):
    return make.version(checks=checks, **facts)


def paste(*checks, **facts):
    return make.cook(version=version(*checks, **facts), reason="weighed warm")


def noted(what, value, passed=None, **of):
    reading = Reading(what, Decimal(value), passed=passed)
    note_measurement(readings=[reading], **of, **make.act(3))
    return Measurement.objects.last().passed


class TestWriting:
    def test_they_stand_in_their_order(self, owner):
        asked = version(Check("neutrality", how="in warm alcohol"), PH)
        rows = asked.checks.values_list("position", "what", "low", "high", "how")
        assert list(rows) == [
            (1, "neutrality", None, None, "in warm alcohol"),
            (2, "pH", Decimal(9), Decimal("10.2"), "1 g in 10 g of water"),
        ]

    def test_another_limit_is_another_wording(self, owner):
        facts = {"name": "Winter"}
        first, second = version(PH, **facts), version(Check("pH"), **facts)
        assert first.digest != second.digest

    @pytest.mark.parametrize("what", ["neutrality", "clarity"])
    @pytest.mark.parametrize("limit", ["low", "high"])
    def test_what_is_passed_or_not_has_no_limits(self, owner, what, limit):
        version()
        with make.refused("is passed or not: leave its limits empty"):
            version(Check(what, **{limit: Decimal(1)}))

    def test_a_check_stands_once(self, owner):
        version()
        with make.refused("The check of pH stands twice"):
            version(PH, Check("pH"))

    def test_limits_stand_in_order(self, owner):
        version()
        with make.refused("The lower limit is above the upper one"):
            version(Check("pH", Decimal("10.2"), Decimal(9)))

    def test_only_what_can_be_read(self, owner):
        version()
        with make.refused("foam"):
            version(Check("foam"))


class TestReading:
    @pytest.mark.parametrize(
        ("value", "passed"),
        [
            ("8.99", False),
            ("9", True),
            ("9.7", True),
            ("10.2", True),
            ("10.21", False),
        ],
    )
    def test_between_its_limits_it_has_passed(self, owner, value, passed):
        assert noted("pH", value, lot=paste(PH)) is passed

    @pytest.mark.parametrize(
        ("check", "value", "passed"),
        [
            (Check("pH", low=Decimal(9)), "11.4", True),
            (Check("pH", low=Decimal(9)), "8", False),
            (Check("pH", high=Decimal(10)), "2", True),
            (Check("pH", high=Decimal(10)), "11", False),
            (Check("pH"), "11", None),
        ],
    )
    def test_an_open_limit_lets_pass(self, owner, check, value, passed):
        assert noted("pH", value, lot=paste(check)) is passed

    def test_of_a_batch_as_of_its_lot(self, owner):
        assert noted("pH", "11", batch=paste(PH).batch) is False

    def test_what_the_recipe_does_not_ask_for_stays_open(self, owner):
        assert noted("density", "1.02", lot=paste(PH)) is None

    def test_a_lot_without_a_recipe_has_no_limits(self, owner):
        assert noted("pH", "11", lot=make.cook()) is None
        assert noted("pH", "11", lot=make.lot()) is None

    def test_a_ph_is_never_passed_by_hand(self, owner):
        lot = paste(PH)
        with make.refused("pH alone passes nothing", "drop test"):
            noted("pH", "10", passed=True, lot=lot)

    def test_a_reading_outside_keeps_the_lot_from_releasing_itself(self, owner):
        lot = paste(Check("neutrality"), PH, release="check")
        readings = [make.check(), Reading("pH", Decimal("11"))]
        note_measurement(lot=lot, readings=readings, **make.act(3))
        assert lot.statuses.latest("pk").status == "quarantine"
        note_measurement(
            lot=lot,
            readings=[make.check(), Reading("pH", Decimal("9.5"))],
            **make.act(4),
        )
        assert lot.statuses.latest("pk").status == "released"

    def test_limits_are_ink(self, owner):
        version(PH)
        with pytest.raises(Exception, match="written in ink"):
            VersionCheck.objects.get().delete()
