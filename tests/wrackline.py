"""Cards and recipes of the demo, for those who need no more of its year."""

from datetime import date
from decimal import Decimal

from config.demo.people import let_in
from config.demo.year import told, write
from production.exchange.actions.replaying import carry_out
from production.models import Version
from production.recipes.domain.limits import NewCheck

# Everything stands written, and nothing was bought or made yet.
BEFORE = date(2026, 1, 5)


def set_up():
    """Its workshop, its people, all of its cards and the first of each recipe."""
    events = [one for one in _events() if _day(one) <= BEFORE]
    write(events, let_in("only for this test"))


def item_cards():
    """Its items, but for the alkali."""
    for event in _events("item"):
        if event.facts.get("category") != "alkali":
            carry_out(event, by=None)


def recipe(name):
    """The latest wording of a recipe that stands in the book."""
    return Version.objects.filter(formula__name=name).order_by("-number")[0]


def wording(name):
    """Its steps and its checks, as the year left them."""
    *_, last = (one for one in _events("formula") if one.facts["name"] == name)
    checks = [
        NewCheck(
            part["what"],
            _figure(part, "low"),
            _figure(part, "high"),
            part.get("how", ""),
        )
        for part in last.facts.get("checks", [])
    ]
    return {"steps": last.facts["terms"]["steps"], "checks": checks}


def _events(*kinds):
    return [one for one in told()[1] if not kinds or one.where in kinds]


def _day(event):
    return event.day("date") if "date" in event.facts else date.min


def _figure(part, key):
    return Decimal(part[key]) if key in part else None
