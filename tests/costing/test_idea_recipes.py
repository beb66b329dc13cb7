"""An idea becomes recipes, and stands beside what was made by them."""

from decimal import Decimal as D

import pytest

from costing.models import ProductIdea
from costing.reads.planned_bottle import planned_bottle
from production.models import Version
from production.recipes.actions.formulas import NewVersionLine
from production.record.reads.clock import today
from production.yields.domain.hours_and_losses import NewWork
from tests import make
from tests.costing.idea_pages import (
    REST,
    again,
    management,
    prices_of,
    start,
    words,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def page(client):
    client.force_login(make.owner())
    return client


def test_it_becomes_recipes_that_plan_the_same(page):
    row = start(page)
    prices_of(page, row, **REST)
    planned = planned_bottle(row)
    deed = page.get(f"/ideas/{row.pk}/recipe/").context["form"]
    sent = {"key": deed["key"].value(), "on": str(today()), "reason": ""}
    first = page.post(f"/ideas/{row.pk}/recipe/", sent)
    assert first.status_code == 302, words(first)
    # A double click writes nothing more.
    assert page.post(f"/ideas/{row.pk}/recipe/", sent).status_code == 302
    assert Version.objects.count() == 4
    row = ProductIdea.objects.get()
    tub = make.koh(code="K-1", purity="0.9", grams="99999")
    answer = page.get(
        "/plan/",
        {"version1": row.recipe.pk, "amount1": "40", "alkali_lot": tub.code},
    )
    stages = answer.context["planned"].stages
    there = {
        (one.need.item.name, one.need.amount) for made in stages for one in made.taken
    }
    for line in planned.lines:
        # The water stands once in the cook and once in the dilution.
        if line.unit in ("g", "piece") and line.component not in ("water", "alkali"):
            assert (line.name, line.amount) in there
    assert [made.comes_out for made in stages] == [
        made.comes_out for made in planned.plan.stages
    ]
    text = words(page.get(f"/ideas/{row.pk}/"))
    assert "Plan the making of 40" in text
    assert "Nothing is made by its recipe yet" in words(
        page.get(f"/ideas/{row.pk}/made/")
    )


def test_recipes_are_written_once(page):
    row = start(page)
    for number in range(2):
        sent = {"key": f"k{number}", "on": str(today()), "reason": ""}
        answer = page.post(f"/ideas/{row.pk}/recipe/", sent)
    assert "written already" in words(answer)


def test_what_was_planned_stands_beside_what_it_really_cost(page):
    """Soap bought at 10.00 for 10,000 g fills 40 bottles with 10,000 g; 0.78 and 0.184
    of packaging each, as planned, and 2 hours at 18.00 where 2.5 were: 0.90 for 1.125.
    """
    row = start(page)
    prices_of(page, row, **REST)
    sent = {"key": "recipes", "on": str(today()), "reason": ""}
    page.post(f"/ideas/{row.pk}/recipe/", sent)
    row = again(row)
    items = {one.item.name: one.item for one in row.recipe.lines.select_related("item")}
    bought = {"Bottle 8 oz": ("130", "101.40"), "Label 8 oz": ("300", "55.20")}
    uses = [
        (
            make.proven(
                item=items.pop("Lavender hand wash, finished soap"), grams="10000"
            ),
            "10000",
        )
    ]
    for name, item in items.items():
        grams, price = bought[name]
        uses.append((make.lot(item=item, grams=grams, price=price), "40"))
    lot = make.batch(
        "filling",
        uses=uses,
        makes=row.name,
        unit="piece",
        amount="40",
        version=row.recipe,
        work=[NewWork("labour", D(2), D("18.00"))],
    )
    text = words(page.get(f"/ideas/{row.pk}/made/"))
    assert lot.code in text
    assert "Packaging0.96 0.96 Labour1.13 0.90 \N{MINUS SIGN}0.23" in text
    assert "One bottle2.86" in text
    row.materials.filter(place="oil").update(price_from="last")
    text = words(page.get(f"/ideas/{row.pk}/made/"))
    assert "Oilunknown 0.00 Alkali" in text
    assert "One bottleat least" in text
    assert "Left out of the plan: overhead" in text


def test_a_copy_of_an_idea_with_recipes_has_none_yet(page):
    row = start(page)
    page.post(
        f"/ideas/{row.pk}/recipe/", {"key": "r", "on": str(today()), "reason": ""}
    )
    page.post(f"/ideas/{row.pk}/copy/", {"name": "Another"})
    other = ProductIdea.objects.get(name="Another")
    assert (again(row).recipe is None, other.recipe) == (False, None)


def test_a_recipe_said_as_an_idea_costs_the_same(page):
    """The boxes are filled from the recipes of the first, and sent as they stand."""
    row = start(page)
    sent = {"key": "r", "on": str(today()), "reason": ""}
    page.post(f"/ideas/{row.pk}/recipe/", sent)
    row = again(row)
    answer = page.get("/ideas/start/", {"recipe": row.recipe.pk})
    form = answer.context["form"]
    assert form["name"].value() == "Lavender hand wash, changed"
    sent = management(oils=5, finishing=5, packaging=5)
    for box in (*form, *fields_of(form)):
        sent[box.html_name] = "" if box.value() is None else box.value()
    sent |= {"pieces": "40", "koh_purity": "90"}
    # No recipe says what work and energy it takes.
    sent |= {"minutes_batch": "90", "minutes_piece": "1.5", "rate": "18"}
    sent |= {"energy": "2.40"}
    assert page.post("/ideas/start/", sent).status_code == 302
    other = ProductIdea.objects.exclude(pk=row.pk).get()
    there = {one.name: one.amount for one in planned_bottle(again(row)).lines}
    found = {one.name: one.amount for one in planned_bottle(other).lines}
    assert found == there


def fields_of(form):
    return [box for rows in form.rows.values() for one in rows for box in one]


def test_a_recipe_that_does_more_begins_from_what_it_makes(page):
    paste = make.item("paste", kind="made")
    soap = make.item("soap", kind="made")
    salt = make.item("salt", category="salt")
    version = make.version(
        "dilution",
        makes=soap,
        lines=[
            NewVersionLine(paste, share=D("0.4")),
            NewVersionLine(salt, share=D("0.1")),
        ],
    )
    answer = page.get("/ideas/start/", {"recipe": version.pk})
    assert "begins from what it makes" in words(answer)
    assert answer.context["form"]["base"].value() == soap.pk


@pytest.mark.parametrize("recipe", ["404", "x", "9" * 40, ""])
def test_a_recipe_that_is_none_fills_nothing(page, recipe):
    answer = page.get("/ideas/start/", {"recipe": recipe})
    assert answer.status_code == 200
    assert not answer.context["form"]["superfat"].value()
