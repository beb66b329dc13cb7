"""``planned_cost``: its figures are those of the plan, and a bad file is a sentence."""

import io
import json
from contextlib import suppress
from decimal import Decimal as D

import pytest
from django.core.management import CommandError, call_command
from hypothesis import given
from hypothesis import strategies as st

from costing.commands import planned_cost
from costing.domain.idea_file import read_idea
from costing.reads.planned_bottle import planned_of
from production.quantities.domain.refusal import Refused
from production.recipes.actions.formulas import NewVersionLine
from tests import make
from tests.costing.ideas import idea, oils

pytestmark = pytest.mark.django_db


def said(**facts):
    """The hand wash of ``tests.costing.ideas``, as a file says it."""
    one, two = oils()
    return {
        "name": "Lavender hand wash",
        "pieces": 40,
        "oils": [
            {"item": one.name, "share": "0.7", "price": quote("15 kg", "96.00")},
            {"item": two.name, "price": quote("4 kg", "31.00")},
        ],
        "superfat": "0.03",
        "koh_purity": "0.90",
        "water_per_alkali": "2",
        "soap_content": "0.25",
        "finishing": [
            {"item": "Glycerin", "share": "0.03", "price": quote("1 kg", "6.40")},
            {"item": "Lavender", "share": "0.004", "price": quote("100 g", "19.00")},
        ],
        "fill": "245 g",
        "packaging": [
            {"item": "Bottle 8 oz", "price": quote(130, "101.40")},
            {"item": "Label 8 oz", "each": 1, "price": quote(300, "55.20")},
        ],
        "losses": {
            "cook": "0.04",
            "dilution": "0.01",
            "finishing": "0.005",
            "filling": "0.02",
        },
        "minutes": {"batch": 90, "piece": "1.5", "rate": "18.00"},
        "energy": "2.40",
        "prices": [
            {"item": "potassium hydroxide", "price": quote("5 kg", "27.50")},
            {"item": "Water", "price": quote("1 kg", "0.002")},
        ],
        **facts,
    }


def quote(amount, price):
    return {"amount": amount, "price": price}


def run(what, *options):
    out = io.StringIO()
    call_command("planned_cost", what, *options, stdout=out)
    return out.getvalue()


def of_file(tmp_path, data, *options):
    path = tmp_path / "product.json"
    path.write_text(data if isinstance(data, str) else json.dumps(data))
    return run(str(path), *options)


def test_a_file_says_the_same_as_the_plan(tmp_path):
    answer = json.loads(of_file(tmp_path, said(), "--json"))
    [(planned, _)] = planned_of([idea()])
    assert D(answer["unit_cost"]) * 10**9 == planned.at_least
    assert answer["unit_cost"] == answer["at_least"] == "2.859105842"
    assert sum(map(D, answer["parts"].values())) == D(answer["unit_cost"])
    assert sum(D(row["cost"]) for row in answer["lines"]) == D(answer["unit_cost"])
    assert (answer["missing"], answer["pieces"], answer["unit"]) == ([], "40", "piece")


def test_a_line_says_its_price_and_where_it_is_from(tmp_path):
    item = make.item("Glycerin", category="additive")
    make.lot("GLY-1", item=item, grams="2000", price="14.00")
    data = said()
    data["finishing"][0]["price"] = "last"
    answer = json.loads(of_file(tmp_path, data, "--json"))
    [line] = [row for row in answer["lines"] if row["item"] == "Glycerin"]
    assert line["price"] == "7.000000000"
    assert (line["per"], line["unit"], line["component"]) == ("1000 g", "g", "additive")
    assert (line["price_from"], line["price_date"]) == ("last", "2026-03-02")
    assert line["price_lot"] == "GLY-1"
    whole = D(line["amount"]) * D(line["price"]) / 1000
    assert abs(whole - D(line["cost"])) < D("0.000001")


def test_a_price_that_is_missing_makes_the_cost_null_and_is_asked_for(tmp_path):
    data = said(prices=[])
    answer = json.loads(of_file(tmp_path, data, "--json"))
    assert answer["unit_cost"] is None
    assert answer["missing"] == ["Water", "Potassium hydroxide"]
    assert "Water: no price of it is in the book" in answer["asks"][0]
    assert "not known, at least 2.77" in of_file(tmp_path, data)


def test_an_item_is_planned_down_its_recipes(tmp_path):
    """Oil at 0.006 a gram, KOH at 0.005: 900 g of oil for 1 kg that is mixed, by hand.

    1,000 g of oils at the published value with 2 % superfat take so much KOH of 90 %,
    and twice its weight of water; 4 % boil off.
    """
    oil = make.item("rapeseed oil", category="oil", oil=oils()[0])
    make.item("tap water", category="water", on_tap=True, tap_price=D("0.0020"))
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
    answer = json.loads(run("Paste", "--json"))
    weighed = D("0.98") * oils()[0].sv / 1000 / D("0.9")
    each = (D("0.006") + weighed * D("0.005") + weighed * 2 * D("0.000002")) / (
        (1 + weighed * 3) * D("0.96")
    )
    assert abs(D(answer["unit_cost"]) - each) < D("0.0000001")
    assert answer["unit"] == "g"
    # As it is weighed to the milligram, the alkali rounded down.
    assert abs(D(answer["pieces"]) - 1000) < D("0.01")
    assert answer["left_out"] == [
        "labour: nobody said how many minutes it takes",
        "energy: nobody said what a batch takes",
        "overhead: rent, insurance and the like are in no plan",
    ]
    assert "1000 asked for, " in run("paste")
    assert "Left out: labour" in run("paste")
    more = json.loads(run("paste", "--json", "--pieces", "5000"))
    assert abs(D(more["pieces"]) - 5000) < D("0.01")


@pytest.mark.parametrize("name", ["Nonsuch thing", "Alkali", "Glycerine"])
def test_a_price_of_what_does_not_go_in_is_refused_with_what_does(tmp_path, name):
    prices = [*said()["prices"], {"item": name, "price": quote("5 kg", "27.50")}]
    with pytest.raises(CommandError, match=f"{name} does not go in by that") as fault:
        of_file(tmp_path, said(prices=prices))
    assert "Water, Potassium hydroxide" in str(fault.value)


def test_water_and_alkali_are_priced_by_the_plain_word(tmp_path):
    """Whatever their cards are called: the quotes of the file count."""
    make.item("Spring", category="water", on_tap=True, tap_price=D("7"))
    make.item("KOH flakes", category="alkali", alkali="KOH")
    answer = json.loads(of_file(tmp_path, said(), "--json"))
    assert answer["unit_cost"] == "2.859105842"
    assert {"Spring", "KOH flakes"} <= {row["item"] for row in answer["lines"]}


def test_two_quotes_of_one_material_are_refused(tmp_path):
    data = said()
    castor = {"item": data["oils"][0]["item"], "share": "0.01"}
    data["finishing"].append({**castor, "price": quote("1 kg", "50")})
    with pytest.raises(CommandError, match="twice with two prices"):
        of_file(tmp_path, data)
    data["finishing"][-1]["price"] = quote("30 kg", "192.00")
    assert json.loads(of_file(tmp_path, data, "--json"))["unit_cost"]


def test_the_example_of_the_command_holds(tmp_path):
    example = planned_cost.EXAMPLE.split("'")[1]
    answer = json.loads(of_file(tmp_path, example, "--json"))
    assert D(answer["at_least"]) > 0
    make.item("tap water", category="water", on_tap=True)
    assert json.loads(of_file(tmp_path, example, "--json"))["at_least"]


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"pieces": "many"}, "Write pieces as a plain number"),
        ({"pieces": 0}, "Write pieces: how many"),
        ({"pieces": 1.5}, "a whole number"),
        ({"superfat": "3"}, "superfat is a fraction: write 3 % as 0.03"),
        ({"superfat": True}, "Write superfat as a plain number"),
        ({"superfat": -0.1}, "superfat is below zero"),
        ({"superfatt": "0.03"}, "A product has no 'superfatt'"),
        ({"oils": {}}, "Write oils as a JSON list"),
        ({"oils": ["olive"]}, r"Write oils\[0\] as a JSON object"),
        ({"oils": [{"share": "1"}]}, r"Write oils\[0\].item as a text"),
        ({"oils": [{"item": "x", "sv": 1}]}, r"oils\[0\] has no 'sv'"),
        ({"finishing": [{"item": "x"}]}, r"Write finishing\[0\].share"),
        ({"packaging": [{"item": "x", "each": 0}]}, r"packaging\[0\].each is 0"),
        ({"packaging": [{"item": "x", "price": "dear"}]}, r"packaging\[0\].price as"),
        ({"packaging": [{"item": "x", "price": 3}]}, r"packaging\[0\].price as a JSON"),
        (
            {"packaging": [{"item": "x", "price": {"amount": 3}}]},
            r"packaging\[0\].price.amount and packaging\[0\].price.price",
        ),
        (
            {"packaging": [{"item": "x", "price": {"amount": 0, "price": 1}}]},
            r"packaging\[0\].price.amount",
        ),
        ({"fill": "8 fl oz"}, "fill: A volume needs"),
        ({"fill": []}, "Write fill as an amount"),
        ({"losses": {"cook": 1}}, "losses.cook: write a loss below"),
        ({"losses": {"pour": 0}}, "losses has no 'pour'"),
        ({"losses": {}}, "Write the loss to expect"),
        ({"minutes": 90}, "Write minutes as a JSON object"),
        ({"base": "Tideline"}, "leave one of the two out"),
        ({"oils": []}, "Write the oils"),
    ],
)
def test_a_bad_file_is_a_sentence_with_the_place(tmp_path, change, says):
    with pytest.raises(CommandError, match=says):
        of_file(tmp_path, said(**change), "--json")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "cannot be read as JSON"),
        ("[]", "Write the product as a JSON object"),
        ('{"pieces": 1, "pieces": 2}', "Keep one 'pieces'"),
        ('{"pieces": 1e999999999}', "plain number|large"),
        ('{"pieces": NaN}', "plain number|JSON"),
    ],
)
def test_what_is_no_product_is_told_so(tmp_path, text, says):
    with pytest.raises(CommandError, match=says):
        of_file(tmp_path, text)


def test_what_is_neither_item_nor_file_is_told_so():
    with pytest.raises(CommandError, match="There is no item Tideline, and no such"):
        run("Tideline")


@pytest.mark.parametrize("pieces", ["0", "-3", "2.5", "x", "1e400"])
def test_odd_numbers_of_pieces_are_refused(tmp_path, pieces):
    with pytest.raises(CommandError, match=r"whole number above 0|large"):
        of_file(tmp_path, said(), f"--pieces={pieces}")


JSONS = st.recursive(
    st.none() | st.booleans() | st.decimals() | st.text(max_size=9),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(
                ["name", "pieces", "oils", "item", "share", "price", "fill"]
            ),
            inner,
            max_size=4,
        )
    ),
    max_leaves=12,
)


@given(JSONS)
def test_nothing_that_is_no_product_breaks_it(data):
    with suppress(Refused):
        read_idea(data)
