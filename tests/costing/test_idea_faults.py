"""An idea that cannot be worked out is kept, and its page says what to write."""

from decimal import Decimal as D

import pytest

from costing.actions.ideas import NewPrice, price_idea
from costing.domain.ideas import Quote
from costing.models import ProductIdea
from costing.reads.planned_bottle import planned_bottle
from production.models import Version
from production.recipes.actions.formulas import NewVersionLine
from production.record.reads.clock import today
from production.workshop.actions.cards import set_up_workshop
from tests import make
from tests.costing.idea_pages import REST, again, prices_of, said, start, words

pytestmark = pytest.mark.django_db


@pytest.fixture
def page(client):
    client.force_login(make.owner())
    return client


@pytest.mark.parametrize(
    "facts",
    [
        {"fill": ""},
        {"loss_cook": ""},
        {"superfat": "100 %"},
        {"water_per_alkali": "0"},
        {"water_per_alkali": "", "lye_strength": "100"},
        {"koh_purity": "0"},
        {"soap_content": "0"},
        {"soap_content": "100"},
        {"koh_share": "80"},
        {"finishing-0-share": "99.6 %"},
    ],
)
def test_what_cannot_be_worked_out_is_kept_and_says_why(page, facts):
    answer = page.post("/ideas/start/", said(**facts))
    if answer.status_code == 200:
        assert "Nothing is written yet" in words(answer)
        return
    there = page.get(answer.url)
    assert "It cannot be worked out yet." in words(there), words(there)
    assert page.get(f"{answer.url}prices/").status_code == 302
    assert page.post(f"{answer.url}prices/").status_code == 200
    assert page.get("/ideas/").status_code == 200
    for where in ("beside", "made", "prices", "recipe", "change", "copy"):
        assert page.get(f"{answer.url}{where}/").status_code in (200, 302)


def test_a_size_that_cannot_be_weighed_leaves_the_others(page):
    """A balance of 0.1 g weighs 0.003 % of 2.3 kg of oils, and not of half of that."""
    set_up_workshop(name="Wrackline Soap Works", balance_step=D("0.1"))
    row = start(page, **{"oils-0-share": "99.997", "oils-1-share": "0.003 %"})
    prices_of(page, row, **REST)
    answer = page.get(f"/ideas/{row.pk}/")
    assert answer.status_code == 200
    sizes = [size.pieces for size in answer.context["page"].curve]
    assert sizes == [30, 40, 60, 80, 120, 160]


def test_one_material_with_two_quotes_is_refused_and_stays_typed(page):
    oil = said()["oils-0-what"]
    facts = {"finishing-1-what": oil, "finishing-1-quote": "50 per kg"}
    answer = page.post("/ideas/start/", said(**facts))
    assert f"{oil} stands here twice with two prices" in words(answer)
    facts["finishing-1-quote"] = "30 kg for 192.00"
    assert page.post("/ideas/start/", said(**facts)).status_code == 302


def test_a_bottle_with_two_quotes_is_refused(page):
    facts = {"packaging-1-what": "Bottle 8 oz", "packaging-1-quote": "100 for 10"}
    answer = page.post("/ideas/start/", said(**facts))
    assert "Bottle 8 oz stands here twice with two prices" in words(answer)


def test_a_price_beside_the_material_counts_before_an_earlier_one(page):
    """The salt was priced by itself, as a recipe behind the base took it."""
    salt = make.item("salt", category="salt")
    row = start(page)
    quote = NewPrice("quote", Quote(D(1000), D(2)), "2 per kg")
    prices = {"salt": quote}
    price_idea(idea=row, prices=prices)
    facts = {"finishing-1-what": salt.name, "finishing-1-quote": "5 per kg"}
    page.post(f"/ideas/{row.pk}/change/", said(**facts))
    [line] = [one for one in planned_bottle(again(row)).lines if one.name == "salt"]
    assert line.per == 5


def test_an_oil_that_joins_the_soap_later_too_is_still_saponified(page):
    row = start(page)
    before = alkali_of(row)
    facts = {"finishing-1-what": said()["oils-0-what"], "finishing-1-quote": ""}
    page.post(f"/ideas/{row.pk}/change/", said(**facts))
    assert alkali_of(again(row)) == before


def alkali_of(row):
    [line] = [one for one in planned_bottle(row).lines if one.component == "alkali"]
    return line.amount


def test_nothing_on_each_piece_is_refused(page):
    answer = page.post("/ideas/start/", said(**{"packaging-0-each": "0"}))
    assert "above 0, or leave the row out" in words(answer)


def test_what_is_left_out_is_named(page):
    row = start(page, energy="")
    prices_of(page, row, **REST)
    text = words(page.get(f"/ideas/{row.pk}/"))
    assert "Left out of it: energy, overhead" in text


def test_a_component_without_a_price_is_unknown_beside_its_variants(page):
    """The label has no price: 0.78 of packaging at least, and no difference."""
    row = start(page, **{"packaging-1-quote": "", "oils-0-quote": ""})
    page.post(f"/ideas/{row.pk}/copy/", {"name": "Priced", "variant": "on"})
    other = ProductIdea.objects.get(name="Priced")
    page.post(f"/ideas/{other.pk}/change/", said(name="Priced"))
    text = words(page.get(f"/ideas/{row.pk}/beside/")).partition("Line by line")[0]
    assert "packagingat least 0.78 0.96 labour" in text
    assert "alkaliunknown unknown" in text


def test_the_recipes_of_a_product_that_has_some_are_not_written_again(page):
    soap = make.item("Lavender hand wash", unit="piece", kind="made")
    paste = make.item("paste", kind="made")
    make.version("filling", makes=soap, lines=[NewVersionLine(paste, each=D(240))])
    row = start(page)
    sent = {"key": "r", "on": str(today()), "reason": ""}
    answer = page.post(f"/ideas/{row.pk}/recipe/", sent)
    assert "Lavender hand wash has its recipe already" in words(answer)
    assert Version.objects.count() == 1


@pytest.mark.parametrize(
    ("facts", "says"),
    [
        ({"superfat": "100 %"}, "Write a superfat below 100 %"),
        ({"soap_content": "0"}, "Write it above 0 %, or leave it empty."),
        ({"koh_purity": "0"}, "Write it above 0 %, or leave it empty."),
        ({"water_per_alkali": "123456"}, "123456 is too large to be meant"),
        ({"packaging-0-quote": "0.8"}, "such as 130 for 101.40, or 0.78 each"),
        ({"packaging-0-quote": "9 per dozen"}, "such as 130 for 101.40, or 0.78 each"),
        ({"oils-0-quote": "0.8"}, "such as 35 lb for 78.50, or 6.40 per kg"),
    ],
)
def test_what_is_refused_is_said_in_words_of_the_trade(page, facts, says):
    text = words(page.post("/ideas/start/", said(**facts)))
    assert says in text
    assert "fraction" not in text
    assert "Ensure" not in text


HUGE = "999999999"


@pytest.mark.parametrize(
    "name",
    [
        *("pieces", "density", "water_per_alkali", "minutes_batch", "minutes_piece"),
        *("rate", "energy", "packaging-0-each", "oils-0-weight", "fill"),
    ],
)
def test_a_figure_beyond_all_is_refused_in_words(page, name):
    facts = {name: HUGE, **({"oils-0-share": ""} if "oils" in name else {})}
    if name == "density":
        facts["fill"] = "8 fl oz"
    answer = page.post("/ideas/start/", said(**facts))
    assert "Ensure" not in words(answer)
    if answer.status_code == 302:
        assert page.get(answer.url).status_code == 200


def test_a_soap_that_is_too_strong_is_said_in_percent(page):
    answer = page.post("/ideas/start/", said(soap_content="100"))
    assert "% soap cannot be diluted to 100 %" in words(page.get(answer.url))


def test_a_quote_per_bottle_is_that_of_one(page):
    row = start(page, **{"packaging-0-quote": "0.8 per bottle"})
    [line] = [one for one in planned_bottle(row).lines if one.name == "Bottle 8 oz"]
    assert line.per == D("0.8")


def test_a_name_that_another_idea_bears_is_refused_in_words(page):
    row = start(page)
    says = "There is an idea called Lavender hand wash already"
    assert says in words(page.post("/ideas/start/", said()))
    sent = {"name": "Lavender hand wash"}
    assert says in words(page.post(f"/ideas/{row.pk}/copy/", sent))


def test_what_a_plan_needs_does_not_say_if_any(page):
    text = words(page.get("/ideas/start/"))
    for label in ("Superfat, %", "Soap in one piece", "Lost in the filling, %"):
        assert label in text
        assert f"{label} if any" not in text


def test_boxes_that_a_recipe_does_not_fill_stay_open(page):
    row = start(page)
    sent = {"key": "r", "on": str(today()), "reason": ""}
    page.post(f"/ideas/{row.pk}/recipe/", sent)
    answer = page.get("/ideas/start/", {"recipe": again(row).recipe.pk})
    assert answer.context["form"]["minutes_batch"].value() is None
    assert answer.context["form"]["rate"].value() is None
    assert "as they were said last" not in words(answer)
    plain = page.get("/ideas/start/")
    assert plain.context["form"]["minutes_batch"].value() is not None
    assert "as they were said last" in words(plain)


def test_a_cost_under_a_cent_is_never_shown_as_nothing(page):
    row = start(page)
    prices_of(page, row, **REST)
    page.post(f"/ideas/{row.pk}/copy/", {"name": "Other", "variant": "on"})
    text = words(page.get(f"/ideas/{row.pk}/"))
    assert "+0.000" not in text
    assert "under 0.1 %" in text
    assert "waterunder 0.01 under 0.01" in words(page.get(f"/ideas/{row.pk}/beside/"))


def test_a_cost_has_its_currency_before_there_is_a_workshop(page):
    row = start(page)
    prices_of(page, row, **REST)
    assert "One bottle2.86 USD" in words(page.get(f"/ideas/{row.pk}/"))


def test_the_page_says_which_water_is_priced(page):
    make.item("Spring", category="water", on_tap=True, tap_price=D("0.002"))
    row = start(page)
    assert "Water is priced as Spring" in words(page.get(f"/ideas/{row.pk}/"))
