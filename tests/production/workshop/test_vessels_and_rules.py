"""Vessels, and rules of the workshop's own."""

from decimal import Decimal

import pytest

from production.models import ReferenceRuleOfThumb, RuleOfThumb
from production.recipes.actions.rules_of_thumb import change_rule, write_rule
from production.record.reads.restated import history_of
from production.workshop.actions.cards import add_vessel, change_vessel
from tests import make

pytestmark = pytest.mark.django_db


class TestVessels:
    def test_one_is_added_and_changed(self):
        pot = add_vessel(name=" pot ", volume=Decimal(9000))
        assert (pot.name, pot.tare) == ("pot", None)
        facts = {"volume": Decimal("9500.5"), "tare": Decimal("1200.25")}
        change_vessel(pot, name="tall pot", **facts)
        pot.refresh_from_db()
        assert (pot.name, pot.volume, pot.tare) == ("tall pot", *facts.values())

    @pytest.mark.parametrize(
        ("facts", "says"),
        [
            ({"volume": Decimal(0)}, "how many mL"),
            ({"volume": Decimal(-1)}, "how many mL"),
            ({"tare": Decimal(0)}, "Weigh the vessel empty"),
            ({"name": ""}, "Name"),
            ({"name": "kettle"}, "already exists"),
        ],
    )
    def test_one_that_holds_nothing_or_is_known_is_refused(self, facts, says):
        add_vessel(name="kettle", volume=Decimal(100))
        with make.refused(says):
            add_vessel(**{"name": "pot", "volume": Decimal(9000), **facts})


RULE = {
    "topic": "prone to rancidity",
    "figure": "linoleic_linolenic",
    "low": Decimal("0.2"),
    "high": None,
    "says": "Ours turned.",
    "source": "our own book",
}


@pytest.fixture
def published():
    return ReferenceRuleOfThumb.objects.create(
        key="invented-rule",
        **{**RULE, "source": "an invented table"},
        standing="invented",
    )


class TestHints:
    def test_one_is_written_and_changed(self):
        rule = write_rule(**RULE, **make.act())
        change_rule(rule=rule, low=Decimal("0.25"), silent=True, **make.act())
        rule.refresh_from_db()
        assert (rule.low, rule.silent) == (Decimal("0.25"), True)

    def test_one_stands_instead_of_a_published_one(self, published):
        assert (
            write_rule(instead_of=published, **RULE, **make.act()).instead_of
            == published
        )
        with make.refused("stands instead of invented-rule already"):
            write_rule(
                instead_of=published, **RULE | {"says": "Not ours."}, **make.act()
            )

    def test_the_very_same_rule_is_written_once(self):
        write_rule(**RULE, **make.act())
        with make.refused("stands already"):
            write_rule(**RULE, **make.act())

    @pytest.mark.parametrize(
        ("facts", "says"),
        [
            ({"low": Decimal("0.3"), "high": Decimal("0.2")}, "lower limit is above"),
            ({"low": Decimal("20")}, "a part of the whole"),
            ({"low": Decimal("-0.1")}, "a part of the whole"),
            ({"figure": "iodine_value", "low": Decimal(400)}, "An iodine value"),
            ({"figure": "superfat", "low": Decimal("-1.5")}, "a part of the whole"),
            ({"figure": "foam"}, "foam"),
            ({"topic": "smell"}, "smell"),
            ({"says": ""}, "Says"),
            ({"source": ""}, "Source"),
        ],
    )
    def test_what_no_rule_says_is_refused(self, facts, says):
        with make.refused(says):
            write_rule(**RULE | facts, **make.act())

    def test_a_change_is_judged_as_well(self):
        rule = write_rule(**RULE, **make.act())
        with make.refused("lower limit is above"):
            change_rule(rule=rule, high=Decimal("0.1"), **make.act())
        with make.refused("A rule has no colour"):
            change_rule(rule=RuleOfThumb.objects.get(), colour="red", **make.act())

    @pytest.mark.parametrize(
        "facts",
        [
            {"low": Decimal("0.2"), "high": Decimal("0.2")},
            {"figure": "iodine_value", "low": Decimal(60), "high": Decimal("85.5")},
            {"figure": "superfat", "low": Decimal("-0.05"), "high": Decimal(0)},
        ],
    )
    def test_limits_of_each_figure(self, facts):
        assert write_rule(**RULE | facts, **make.act()).pk

    def test_an_owner_silences_and_changes_them_and_the_book_keeps_what_was(
        self, published
    ):
        by = make.act(by=make.maker())
        with make.refused("Only an owner may silence or replace a rule"):
            write_rule(instead_of=published, **RULE | {"silent": True}, **by)
        rule = write_rule(**RULE, **by)
        with make.refused("Only an owner may change a rule"):
            change_rule(rule=rule, silent=True, **by)
        change_rule(rule=rule, silent=True, **make.act(reason="it misled us"))
        [told] = [row for row in history_of("rule", rule.pk) if row.before]
        assert told.says == "says nothing: yes (before: no)"
        assert (told.deed.by, told.deed.reason) == (make.owner(), "it misled us")
        with make.refused("says so already"):
            change_rule(rule=rule, silent=True, **make.act())
