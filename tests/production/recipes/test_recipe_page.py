"""Writing a recipe, and the next version of one."""

from decimal import Decimal

from django.urls import reverse

from production.models import Version
from tests import make
from tests.production.writing import fill, holds

DAY = "2026-03-02"


def cook_recipe(desk):
    oil = make.item("olive oil", category="oil")
    good = {
        "name": "Tideline",
        "makes": str(make.item("paste", kind="made").pk),
        "superfat": "2",
        "water_per_alkali": "2.2",
        "lines-0-item": str(oil.pk),
        "lines-0-share": "100",
        "on": DAY,
    }
    url = f"{reverse('recipe-write')}?stage=cook"
    holds(desk, url, good, {"lines-0-share": "90"}, "add up to 90 %")
    return Version.objects.get()


def test_write_a_cook(desk):
    version = cook_recipe(desk)
    assert version.superfat == Decimal("0.02")
    assert version.lines.get().share == 1


def test_the_next_version_starts_from_the_last(desk):
    first = cook_recipe(desk)
    fill(desk, reverse("version-next", args=[first.pk]), superfat="3", on=DAY)
    second = first.formula.versions.get(number=2)
    assert second.superfat == Decimal("0.03")
    assert second.water_per_alkali == first.water_per_alkali
    assert second.lines.get().share == 1


def test_write_a_filling(desk):
    soap, bottle = make.item("soap", kind="made"), make.item("bottle", unit="piece")
    good = {
        "name": "8 fl oz",
        "makes": str(make.item("hand wash", kind="made", unit="piece").pk),
        "lines-0-item": str(soap.pk),
        "lines-0-each": "245",
        "lines-1-item": str(bottle.pk),
        "lines-1-each": "1",
        "on": DAY,
    }
    url = f"{reverse('recipe-write')}?stage=filling"
    holds(desk, url, good, {"lines-1-share": "5"}, "one of both")
    assert [line.each for line in Version.objects.get().lines.all()] == [245, 1]
