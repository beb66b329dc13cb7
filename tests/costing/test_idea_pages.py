"""The pages of a product that does not exist: said, priced, copied, thrown away."""

from decimal import Decimal as D
from fractions import Fraction as F
from io import BytesIO

import pytest
from openpyxl import load_workbook

from costing.actions.ideas import copy_idea
from costing.models import ProductIdea
from costing.reads.planned_bottle import planned_bottle, planned_of
from production.recipes.actions.formulas import NewVersionLine
from tests import make
from tests.costing.idea_pages import REST, again, prices_of, said, start, words
from tests.costing.ideas import idea, oils

pytestmark = pytest.mark.django_db


@pytest.fixture
def page(client):
    client.force_login(make.owner())
    return client


def test_what_has_no_price_is_named_and_the_cost_is_at_least_so_much(page):
    row = start(page)
    text = words(page.get(f"/ideas/{row.pk}/"))
    assert "Not known yet: Water, Potassium hydroxide have no price." in text
    assert "One bottle, at least" in text
    assert "One bottle, by the size of the batch" not in text


def test_it_is_priced_and_says_the_same_as_its_plain_value(page):
    row = start(page)
    answer = prices_of(page, row, **REST)
    assert answer.status_code == 302
    assert planned_bottle(row).unit_cost == by_value().unit_cost
    text = words(page.get(f"/ideas/{row.pk}/"))
    assert "2.86" in text
    assert "2.859105842" in text
    assert "One bottle, by the size of the batch" in text
    assert "What 10 % more on each line does" in text


def by_value():
    [(found, _)] = planned_of([idea()])
    return found


def test_a_change_keeps_the_prices_that_were_chosen(page):
    row = start(page)
    prices_of(page, row, **REST)
    answer = page.post(f"/ideas/{row.pk}/change/", said(pieces="80"))
    assert answer.status_code == 302
    found = planned_bottle(ProductIdea.objects.get())
    assert not found.missing
    assert found.pieces == 80
    assert found.unit_cost < by_value().unit_cost


def test_its_change_page_shows_all_that_was_typed(page):
    row = start(page)
    form = page.get(f"/ideas/{row.pk}/change/").context["form"]
    again = {}
    for bound in form:
        again[bound.name] = bound.value()
    rows = [one["what"].value() for one in form.rows["finishing"].forms[:2]]
    assert rows == ["Glycerin", "Lavender"]
    assert again["fill"] == "245 g"
    assert form.rows["packaging"].forms[0]["quote"].value() == "130 for 101.40"


def test_a_variant_stands_beside_the_first_with_what_differs(page):
    row = start(page)
    prices_of(page, row, **REST)
    answer = page.post(f"/ideas/{row.pk}/copy/", {"name": "In glass", "variant": "on"})
    other = ProductIdea.objects.get(name="In glass")
    assert answer.url == f"/ideas/{other.pk}/change/"
    changed = said(name="In glass", fill="240 g")
    changed["packaging-0-quote"] = "130 for 167.70"
    page.post(f"/ideas/{other.pk}/change/", changed)
    text = words(page.get(f"/ideas/{row.pk}/beside/"))
    same = words(page.get(f"/ideas/{other.pk}/beside/"))
    assert text.partition("Line by line")[2] == same.partition("Line by line")[2]
    # 167.70 and 101.40 for 130: 1.29 and 0.78 a bottle, 0.51 more.
    assert "Bottle 8 oz0.78 1.29 +0.51" in text
    assert "245" in text


def test_a_copy_that_is_no_variant_stands_alone(page):
    row = start(page)
    page.post(f"/ideas/{row.pk}/copy/", {"name": "Another"})
    other = ProductIdea.objects.get(name="Another")
    assert other.variant_of is None
    assert planned_bottle(other).known == planned_bottle(row).known


def test_what_is_thrown_away_leaves_its_variants(page):
    row = start(page)
    for name in ("Two", "Three"):
        page.post(f"/ideas/{row.pk}/copy/", {"name": name, "variant": "on"})
    assert page.get(f"/ideas/{row.pk}/delete/").status_code == 200
    page.post(f"/ideas/{row.pk}/delete/")
    two, three = ProductIdea.objects.order_by("pk")
    assert (two.variant_of, three.variant_of) == (None, two)


def test_a_bottle_filled_by_volume_asks_for_the_density(page):
    answer = page.post("/ideas/start/", said(fill="8 fl oz"))
    assert "density" in words(answer)
    row = start(page, fill="8 fl oz", density="1.03")
    # 231 cubic inches to the US gallon (NIST Handbook 44): 29.5735295625 mL an ounce.
    assert row.fill == round(8 * D("29.5735295625") * D("1.03"), 3)


@pytest.mark.parametrize(
    ("facts", "says"),
    [
        ({"oils-0-what": "Unobtainium"}, "Unobtainium is neither an oil"),
        ({"oils-0-share": "170"}, "170"),
        ({"oils-0-weight": "3 kg"}, "its share or its weight, one of both"),
        ({"oils-0-quote": "dear"}, "dear is no quote"),
        ({"oils-0-quote": "35 for 78.50"}, "does not say of what weight"),
        ({"oils-0-quote": "0 lb for 78.50"}, "0 lb"),
        ({"oils-0-quote": "35 lb for EUR 7"}, "EUR"),
        ({"packaging-0-quote": "3 kg for 7"}, "counted in pieces"),
        ({"superfat": ""}, "Write the superfat"),
        ({"superfat": "NaN"}, "NaN"),
        ({"water_per_alkali": ""}, "Set the lye water once"),
        ({"loss_cook": "100"}, "below 100 %"),
        ({"pieces": "0"}, "above 0|made together"),
        ({"pieces": "1e9999"}, "1e9999"),
        ({"fill": "a cup"}, "a cup|cup"),
        ({"name": ""}, "required|Write|name"),
        ({"rate": "-5"}, "below zero"),
        ({"oils-TOTAL_FORMS": "9" * 30}, "At most 500 rows"),
    ],
)
def test_what_cannot_be_meant_is_refused_and_stays_typed(page, facts, says):
    answer = page.post("/ideas/start/", said(**facts))
    assert answer.status_code == 200
    text = words(answer)
    assert any(one in text for one in says.split("|")), text
    assert not ProductIdea.objects.exists()
    assert "Lavender" in answer.content.decode()


@pytest.mark.parametrize("quote", ["", "x", "35 lb for", "for 3", "1 lb for -3"])
def test_a_quote_that_is_none_changes_nothing(page, quote):
    row = start(page)
    before = planned_bottle(row).known
    answer = prices_of(page, row, Glycerin=quote)
    if quote:
        assert answer.status_code == 200
        assert planned_bottle(again(row)).known == before
    else:
        missing = planned_bottle(again(row)).missing
        assert "Glycerin" in {one.name for one in missing}


def test_a_price_of_the_book_says_how_old_it_is(page):
    item = make.item("Glycerin", category="additive")
    make.lot("GLY-1", item=item, grams="1000", price="7.00", on=make.day(2))
    row = start(page, **{"finishing-0-quote": ""})
    text = words(page.get(f"/ideas/{row.pk}/"))
    assert "bought 2026-03-02, " in text
    assert " ago, GLY-1" in text


def test_the_stock_costs_the_average_of_what_is_left(page):
    """1,000 g for 7.00 and 3,000 g for 33.00: 40.00 for 4,000 g, 0.01 a gram."""
    item = make.item("Glycerin", category="additive")
    make.lot(item=item, grams="1000", price="7.00")
    make.lot(item=item, grams="3000", price="33.00", on=make.day(3))
    row = start(page, **{"finishing-0-quote": ""})
    line = glycerin(row)
    assert (line.price.unit_cost, line.price.whence) == (F("0.011"), "last")
    row.materials.filter(name="Glycerin").update(price_from="stock")
    line = glycerin(row)
    assert (line.price.unit_cost, line.price.whence) == (F("0.01"), "stock")


def glycerin(row):
    found = planned_bottle(again(row))
    [line] = [one for one in found.lines if one.name == "Glycerin"]
    return line


def test_the_list_asks_the_same_whatever_its_length(page, asked):
    rows = [start(page, name=f"Idea {number}") for number in range(2)]
    few = asked(lambda: page.get("/ideas/"))
    for number in range(2, 25):
        copy_idea(idea=rows[0], name=f"Idea {number}", variant=False)
    assert asked(lambda: page.get("/ideas/")) == few
    text = words(page.get("/ideas/"))
    assert text.count("at least") == 25


@pytest.fixture
def asked(django_assert_max_num_queries):
    def count(act):
        with django_assert_max_num_queries(200) as caught:
            act()
        return len(caught)

    return count


def test_an_idea_may_begin_from_a_recipe_of_the_book(page):
    oil = make.item("rapeseed oil", category="oil", oil=oils()[0])
    paste = make.item("paste", kind="made")
    make.version(
        makes=paste,
        lines=[NewVersionLine(oil, share=D(1))],
        superfat=D("0.02"),
        water_per_alkali=D(2),
        loss=D("0.04"),
    )
    make.lot(item=oil, grams="10000", price="60.00")
    make.koh(purity="0.9", price="25.00")
    empty = {
        f"oils-{n}-{what}": "" for n in (0, 1) for what in ("what", "share", "quote")
    }
    row = start(page, **empty, base=str(paste.pk), superfat="", water_per_alkali="")
    found = planned_bottle(row)
    assert [one.name for one in found.missing] == ["Water"]
    assert found.parts["oil"] > 0
    assert page.get(f"/ideas/{row.pk}/").status_code == 200


@pytest.mark.parametrize(
    "where", ["", "change/", "copy/", "delete/", "beside/", "made/"]
)
def test_no_such_idea(page, where):
    for pk in ("404", "9" * 30):
        assert page.get(f"/ideas/{pk}/{where}").status_code == 404


def test_a_name_that_stands_already_is_refused(page):
    start(page)
    answer = page.post("/ideas/start/", said())
    assert "already" in words(answer)
    assert ProductIdea.objects.count() == 1


def test_nothing_of_the_book_is_touched_by_an_idea(page):
    before = make.book()
    row = start(page)
    prices_of(page, row, **REST)
    page.get(f"/ideas/{row.pk}/")
    assert make.book() == before


def test_its_page_asks_the_same_however_many_lines_it_has(page, asked):
    few = start(page, name="Few")
    more = said(name="Many")
    more["finishing-TOTAL_FORMS"] = "12"
    for number in range(2, 12):
        more[f"finishing-{number}-what"] = f"Thing {number}"
        more[f"finishing-{number}-share"] = "0.2 %"
    page.post("/ideas/start/", more)
    many = ProductIdea.objects.get(name="Many")
    page.get(f"/ideas/{few.pk}/")
    assert asked(lambda: page.get(f"/ideas/{few.pk}/")) == asked(
        lambda: page.get(f"/ideas/{many.pk}/")
    )


def test_the_list_as_a_sheet_says_the_cost_of_each(page):
    row = start(page)
    prices_of(page, row, **REST)
    answer = page.get("/ideas/?sheet=xlsx")
    sheet = load_workbook(BytesIO(answer.getvalue())).active
    cells = [cell.value for line in sheet.iter_rows() for cell in line]
    assert 2.86 in cells
    assert "One bottle, USD" in cells
