"""What a recipe's page says is to be expected of the soap, one verdict a topic.

A maker sees on the page of a cook what its oils let her expect, and on the pages of
dilution and finishing what the whole way down from the kettle lets her expect: sodium
that came in with the brine counts, and so does the glycerin. What she measured on one
recipe speaks on that recipe's page first, and on no other.
"""

import re
from decimal import Decimal as D
from html import unescape

import pytest
from django.urls import reverse

from production.exchange.actions.replaying import import_history
from production.exchange.reads import history_events
from production.models import (
    Formula,
    InciName,
    ReferenceOil,
    ReferenceRuleOfThumb,
    RuleOfThumb,
)
from production.recipes.actions.formulas import NewVersionLine
from production.recipes.actions.rules_of_thumb import write_rule
from production.recipes.reads.rules_in_force import rules_in_force, said_of_mix
from production.stock.actions.opening_lots import Reading
from tests import make
from tests.once import remembered
from tests.production.history_cases import file_of
from tests.production.writing import fill, typed

CLEAR, BRINE = "clear when diluted", "responds to brine"
RULE = {
    "topic": CLEAR,
    "figure": "oleic",
    "low": None,
    "high": None,
    "says": "Ours clouds below 8 °C.",
    "source": "our own batches",
}


def named(name, key):
    return make.item(name, name_on_label=InciName.objects.get(key=key))


def made(name):
    return make.item(name, kind="made")


def written(name, stage, makes, terms=None, **shares):
    lines = [
        NewVersionLine(item=make.item(item.replace("_", " ")), share=D(share))
        for item, share in shares.items()
    ]
    return make.version(stage, name=name, makes=makes, lines=lines, **terms or {})


@pytest.fixture
@remembered
def way(db):
    """Oleic acid cooked to a paste, diluted, and finished with brine and glycerin."""
    make.koh("0.9")
    oleic = ReferenceOil.objects.get(key="oleic-acid")
    make.item("oleic acid", category="oil", oil=oleic)
    named("salt", "salt")
    named("glycerin", "glycerin")
    cook = {"superfat": D("0.01"), "water_per_alkali": D(2)}
    return {
        "cook": written("Cook", "cook", made("paste"), cook, oleic_acid="1"),
        "brine": written("Brine", "preparation", made("brine"), salt="0.2"),
        "dilution": written(
            "Dilution", "dilution", made("soap"), {"target_soap": D("0.2")}, paste="0.3"
        ),
        "finishing": written(
            "Finishing", "finishing", made("shower soap"),
            soap="0.9", brine="0.05", glycerin="0.05",
        ),
    }  # fmt: skip


def page(desk, version):
    return desk.get(reverse("version", args=[version.pk]))


def said(reply):
    return {one.topic: one for one in reply.context["verdicts"]}


def text(reply):
    words = re.sub(r"<[^>]+>", " ", unescape(reply.content.decode()))
    return " ".join(words.split())


def test_each_stage_speaks_of_what_matters_there_once(desk, way):
    cook, dilution, finishing = (
        list(said(page(desk, way[name]))) for name in ("cook", "dilution", "finishing")
    )
    assert cook == [CLEAR, "superfat kept clear", BRINE]
    assert dilution == [
        CLEAR,
        "cloud point",
        "needs soft water",
        "sequestrant",
        "preservation and pH",
    ]
    assert finishing == [
        CLEAR,
        "cloud point",
        BRINE,
        "thinned by glycerin",
        "preservation and pH",
    ]
    assert "verdicts" not in page(desk, way["brine"]).context or not said(
        page(desk, way["brine"])
    )


def test_a_pure_fatty_acid_is_known_on_the_page(desk, way):
    reply = page(desk, way["cook"])
    assert reply.context["cooked"].profile.unknown == ()
    assert said(reply)[CLEAR].rule.key == "clear-oleic"


def test_the_salt_of_the_brine_counts_as_sodium(desk, way):
    """Soap of oleic acid 320.56 g/mol: 0.18 g of it in a gram are 0.56 mmol of
    potassium. 0.01 g of salt are 0.17 mmol of sodium: three quarters potassium."""
    reply = page(desk, way["finishing"])
    assert said(reply)[CLEAR].rule.key == "haze-sodium"
    assert "sodium soaps dissolve at higher temperatures" in text(reply)
    assert said(page(desk, way["dilution"]))[CLEAR].rule.key == "clear-oleic"


def test_a_salt_counts_by_the_purity_of_its_lot(desk, way):
    salt = make.item("salt")
    make.lot(item=salt, readings=[Reading("purity", D("0.1"), "stated")])
    assert said(page(desk, way["finishing"]))[CLEAR].rule.key == "clear-oleic"


def test_a_lactate_in_the_lye_counts_as_sodium(desk, way):
    named("sodium lactate", "sodium-lactate")
    terms = {"superfat": D("0.01"), "water_per_alkali": D(2)}
    salted = written(
        "Salted", "cook", made("salted"), terms, oleic_acid="1", sodium_lactate="0.06"
    )
    assert said(page(desk, salted))[CLEAR].rule.key == "haze-sodium"


def test_where_a_part_is_unknown_nothing_is_said_of_cations(desk, way):
    """What is in a paste that nobody wrote a recipe of is unknown, and not nothing."""
    made("old paste")
    mixed = written("Old", "dilution", made("x"), old_paste="0.3", brine="0.1")
    found = said(page(desk, mixed))
    assert CLEAR not in found
    assert found["needs soft water"].rule.key == "hard-water"


def test_a_salt_of_which_nobody_said_which_makes_the_cations_unknown(desk, way):
    make.item("grey salt", category="salt")
    salted = written(
        "Grey", "finishing", made("y"), soap="0.9", grey_salt="0.001", glycerin="0.05"
    )
    found = said(page(desk, salted))
    assert found[CLEAR].rule.key == "clear-oleic"
    assert found["thinned by glycerin"].rule.key == "glycerin-thins-much"
    shares = [("soap", D("0.9")), ("grey salt", D("0.001"))]
    sodium = write(figure="potassium_share", low=D(0), says="Of cations.")
    spoken = {v.rule.key for v in said_of_mix(shares, "finishing", "Grey") if v.rule}
    assert f"own-{sodium.pk}" not in spoken


def test_recipes_in_a_circle_are_unknown(desk, way):
    made("first")
    made("second")
    written("First", "dilution", made("first"), second="0.5")
    second = written("Second", "dilution", made("second"), first="0.5")
    assert CLEAR not in said(page(desk, second))


def test_what_is_typed_speaks_before_it_is_written(desk, way):
    url = f"{reverse('recipe-write')}?stage=finishing"
    sent = typed(desk.get(url)) | {
        "name": "Another",
        "makes": str(made("shower soap").pk),
        "lines-0-item": str(made("soap").pk),
        "lines-0-share": "90",
        "lines-1-item": str(made("brine").pk),
        "lines-1-share": "5",
    }
    reply = desk.post(reverse("recipe-preview", args=["finishing"]), sent)
    assert said(reply)[CLEAR].rule.key == "haze-sodium"


def test_a_doubt_stands_in_the_verdict_with_its_range(desk, way):
    olive = ReferenceOil.objects.get(key="olive-oil")
    make.item("olive oil", category="oil", oil=olive)
    terms = {"superfat": D("0.01"), "water_per_alkali": D(2)}
    cook = written("Olive", "cook", made("olive paste"), terms, olive_oil="1")
    shown = text(page(desk, cook))
    assert shown.count("Clear when diluted") == 1
    assert "the range of published values of palmitic and stearic acid, 8 % to" in shown


# Measured on one recipe


def write(**facts):
    return write_rule(**RULE | facts, **make.act())


def recipe(version):
    return Formula.objects.get(pk=version.formula_id)


def test_what_was_measured_on_a_recipe_speaks_there_first_and_nowhere_else(desk, way):
    own = write(recipe=recipe(way["finishing"]))
    here, there = (said(page(desk, way[name])) for name in ("finishing", "dilution"))
    assert here[CLEAR].rule.key == f"own-{own.pk}"
    assert here[CLEAR].rule.says == "Ours clouds below 8 °C."
    assert here[CLEAR].doubts == ()
    assert there[CLEAR].rule.key == "clear-oleic"


def test_it_speaks_of_any_topic_there_and_comes_before_another_of_the_workshop(way):
    general = write(topic=BRINE, says="All of ours thicken.")
    bound = write(topic=BRINE, recipe=recipe(way["dilution"]), says="Best at 3.2 %.")
    shares = [("paste", D("0.3"))]
    found = {v.topic: v for v in said_of_mix(shares, "dilution", "Dilution")}
    assert found[BRINE].rule.key == f"own-{bound.pk}"
    keys = [one.key for one in rules_in_force("Finishing", [BRINE])]
    assert keys[0] == f"own-{general.pk}"
    assert f"own-{bound.pk}" not in keys


def test_instead_of_a_published_rule_it_takes_its_place_on_its_recipe_alone(way):
    published = ReferenceRuleOfThumb.objects.get(key="brine-oleic")
    own = write(topic=BRINE, instead_of=published, recipe=recipe(way["finishing"]))
    there, elsewhere = (
        {one.key for one in rules_in_force(name, [BRINE])} for name in ("Finishing", "")
    )
    assert f"own-{own.pk}" in there
    assert published.key not in there
    assert published.key in elsewhere


def test_the_same_words_may_be_measured_on_two_recipes(way):
    write(recipe=recipe(way["finishing"]))
    write(recipe=recipe(way["dilution"]))
    with make.refused("stands already"):
        write(recipe=recipe(way["dilution"]))


def test_the_page_binds_a_rule_and_tells_of_it(desk, way):
    formula = recipe(way["finishing"])
    facts = {"topic": CLEAR, "figure": "oleic", "says": "Clouds below 8 °C."}
    fill(desk, reverse("hint-write"), **facts, recipe=str(formula.pk))
    rule = RuleOfThumb.objects.get()
    assert (rule.recipe, rule.low, rule.high) == (formula, None, None)
    assert "your own, on Finishing alone" in text(desk.get(reverse("hints")))
    url = reverse("hint-change", args=[rule.pk])
    assert typed(desk.get(url))["recipe"] == str(formula.pk)
    fill(desk, url, recipe="")
    rule.refresh_from_db()
    assert rule.recipe is None
    shown = text(desk.get(reverse("hints")))
    assert "measured on: nothing (before: Finishing)" in shown


def test_the_history_file_keeps_the_recipe_and_gives_it_back(way):
    write(recipe=recipe(way["finishing"]))
    told = [one for one in history_events() if one["type"] == "hint"]
    assert [one["recipe"] for one in told] == ["Finishing"]
    event = told[0] | {"says": "Another.", "recipe": "Brine"}
    import_history(text=file_of([event]))
    assert RuleOfThumb.objects.get(says="Another.").recipe.name == "Brine"
    with make.refused("has to stand in the file before its rule"):
        import_history(text=file_of([event | {"recipe": "Nobody's"}]))


def test_it_is_told_after_its_recipe(way):
    write(recipe=recipe(way["finishing"]))
    kinds = [one["type"] for one in history_events()]
    assert kinds.index("hint") > max(i for i, k in enumerate(kinds) if k == "formula")


def test_without_a_tub_only_what_needs_no_figure_is_said(desk, db):
    oleic = ReferenceOil.objects.get(key="oleic-acid")
    make.item("oleic acid", category="oil", oil=oleic)
    terms = {"superfat": D("0.01"), "water_per_alkali": D(2)}
    written("Cook", "cook", made("paste"), terms, oleic_acid="1")
    diluted = written("Dilution", "dilution", made("soap"), paste="0.3")
    assert list(said(page(desk, diluted))) == [
        "cloud point",
        "needs soft water",
        "sequestrant",
        "preservation and pH",
    ]
