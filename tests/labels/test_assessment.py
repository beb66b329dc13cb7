"""What was assessed, compared with what was made; an assessment is never changed."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from labels.actions.assessments import Covered, decide_kind
from labels.domain.assessment import Assessed, Made, answers, outside
from labels.domain.kind import Bulk
from labels.models import Assessment, LabelCard
from labels.reads.assessments import assessment_answers, last_assessment, made_of
from labels.reads.kind_tables import asked_before, kind_book
from labels.reads.kinds import held_by, kind_for
from production.contents.reads.contents import contents_of
from production.correcting.actions.undoing import undo_deed
from production.models import Formula, Item
from production.recipes.actions.formulas import NewVersionLine
from production.workshop.models.items import MixturePart
from tests import make
from tests.labels.scented import note, scented_bottles

NOW = date(2026, 3, 20)
ASSESSED = Assessed(
    reference="CPSR-7",
    assessor="Ada Birch",
    on=date(2026, 2, 1),
    until=date(2027, 2, 1),
    recipes={"Tideline": (2, 3)},
    fragrances={"lavender": Decimal("0.012")},
    pack="bottle 250",
    notification="4711",
    notified_on=date(2026, 2, 10),
    responsible="Atelier Moreau, La Rochelle",
)
MADE = Made(
    on=date(2026, 3, 2),
    versions={"Tideline": frozenset({3}), "paste": frozenset({1})},
    fragrances={"lavender": Decimal("0.012")},
    packs=("bottle 250",),
)
THERE = "Atelier Moreau, 3 rue des Salines, 17000 La Rochelle, France"


def out(assessed=None, made=None, on=NOW, responsible=THERE):
    assessed = replace(ASSESSED, **assessed or {})
    return outside(assessed, replace(MADE, **made or {}), on, responsible=responsible)


def test_a_lot_as_it_was_assessed_is_inside():
    assert out() == ()
    # The highest share and the last day are inside.
    assert out(on=date(2027, 2, 1)) == ()
    assert out({"pack": "", "until": None, "responsible": ""}) == ()
    assert out(made={"own": ("Tideline",)}) == ()


def test_an_assessment_names_the_recipes_of_the_soap():
    [why] = out({"recipes": {}}, {"own": ("Tideline",)})
    assert why.startswith("It names no recipe: say which recipe and versions")
    brine = {"brine": (None, None)}
    made = MADE.versions | {"brine": frozenset({1})}
    [why] = out({"recipes": brine}, {"versions": made, "own": ("Tideline",)})
    assert why == "The lot was made by Tideline, which was not assessed."


@pytest.mark.parametrize(
    ("made", "says"),
    [
        ({"fragrances": {"neroli": Decimal("0.001")}}, "neroli was not assessed"),
        (
            {"fragrances": {"lavender": Decimal("0.0121")}},
            "lavender is 1.21 % of the finished lot; assessed was at most 1.2 %.",
        ),
        ({"fragrances": {"lavender": None}}, "How much lavender"),
        ({"packs": ("tin",)}, "It is filled into tin; assessed was bottle 250."),
        ({"versions": {"Tideline": frozenset({1})}}, "v1; assessed was v2 to v3"),
        ({"versions": {"Tideline": frozenset({2, 4})}}, "v4; assessed was v2 to v3"),
        ({"versions": {}}, "The lot was not made by Tideline"),
    ],
)
def test_a_lot_outside_of_it_is_told_why(made, says):
    [why] = out(made=made)
    assert says in why


@pytest.mark.parametrize(
    ("on", "says"),
    [
        (date(2026, 1, 31), "It holds from 1 February 2026 on only."),
        (date(2027, 2, 2), "It held until 1 February 2027: ask for a new one."),
    ],
)
def test_an_assessment_has_its_days(on, says):
    assert out(on=on) == (says,)


def test_another_responsible_person_on_the_label_is_outside():
    [why] = out(responsible="Wrackline Soap Works, Maine")
    assert "names Atelier Moreau" in why
    assert out(responsible="ATELIER  MOREAU, La Rochelle") == ()


@pytest.mark.parametrize("rules", ["eu", "uk"])
def test_nothing_on_file_is_missing(rules):
    found = answers(asked_before(rules), None, None, NOW)
    assert [one.asked.what for one in found] == ["assessment", "notification"]
    assert {one.state for one in found} == {"missing"}
    both = answers(asked_before(rules), ASSESSED, MADE, NOW, responsible=THERE)
    assert {one.state for one in both} == {"present"}
    assert both[0].says == "CPSR-7 by Ada Birch, 1 February 2026"
    assert both[1].says == "4711, 10 February 2026"


def test_a_notification_of_a_day_to_come_is_missing():
    early = replace(ASSESSED, notified_on=date(2026, 4, 1))
    [_, notified] = answers(asked_before("eu"), early, None, NOW, responsible=THERE)
    assert notified.state == "missing"


@pytest.mark.parametrize("rules", ["us", "ca"])
def test_where_no_assessment_is_asked_for_there_is_no_answer(rules):
    assert asked_before(rules) == ()


@pytest.fixture
def scented(db):
    return scented_bottles()


def stands(lot, rules="eu", responsible=""):
    return assessment_answers(
        asked_before(rules),
        lot.item,
        rules,
        lot,
        contents_of(lot),
        make.day(21),
        responsible,
    )


def test_the_book_tells_recipe_dose_and_pack_of_a_lot(scented):
    made = made_of(scented, contents_of(scented))
    assert made.versions == {"Tideline": frozenset({1})}
    assert made.fragrances == {"lavender": Decimal("0.01")}
    assert made.packs == ("bottle 250",)
    assert made.own == ("Tideline",)


def test_an_assessment_without_the_recipe_of_the_soap_is_missing(scented):
    note(scented, recipes=())
    assert "say which recipe" in stands(scented)[0].says


def test_the_cook_and_what_was_filled_want_cover_and_a_brine_does_not(db):
    oil = make.item("olive oil", category="oil")
    water = make.lot(item=make.item("water", category="water"))
    salt = make.lot(item=make.item("salt", category="salt"))

    def recipe(stage, name, uses, makes, **facts):
        lines = [NewVersionLine(lot.item, share=Decimal("0.5")) for lot, _ in uses]
        version = make.version(
            stage, name=name, makes=make.item(makes, kind="made"), lines=lines
        )
        return make.batch(stage, uses=uses, makes=makes, version=version, **facts)

    brine = recipe(
        "preparation", "Brine", [(water, "80"), (salt, "20")], "brine", amount="100"
    )
    paste = make.batch(
        "cook",
        uses=[(make.lot(item=oil), "700"), (make.koh(), "140"), (water, "100")],
        makes="paste",
        amount="900",
        version=make.version(
            name="Cook",
            makes=make.item("paste", kind="made"),
            lines=[NewVersionLine(oil, share=Decimal(1))],
            superfat=Decimal("0.05"),
            water_per_alkali=Decimal(2),
        ),
    )
    thin = recipe(
        "dilution", "Thin", [(paste, "400"), (water, "400")], "thin", amount="800"
    )
    made = recipe(
        "finishing", "Finish", [(thin, "700"), (brine, "50")], "soap", amount="750"
    )
    bottles = make.batch(
        "filling",
        uses=[(made, "500")],
        makes="soap 250",
        unit="piece",
        amount="2",
        net_mass="250",
    )
    found = made_of(bottles, contents_of(bottles))
    assert set(found.versions) == {"Brine", "Cook", "Thin", "Finish"}
    assert found.own == ("Finish", "Cook")


def test_a_lot_inside_of_its_assessment(scented):
    assert {one.state for one in stands(scented)} == {"missing"}
    note(scented)
    assert [one.state for one in stands(scented)] == ["present", "present"]
    # Great Britain has an assessment of its own.
    assert {one.state for one in stands(scented, "uk")} == {"missing"}


def test_the_last_one_counts_and_one_taken_back_counts_no_more(scented):
    note(scented)
    second = note(
        scented,
        reference="CPSR-8",
        fragrances={make.item("lavender"): Decimal("0.009")},
    )
    [why] = stands(scented)[0].outside
    assert "assessed was at most 0.9 %" in why
    undo_deed(undone=second.deed, reason="mistyped", **make.act(20))
    assert last_assessment(scented.item, "eu").reference == "CPSR-7"
    assert [one.state for one in stands(scented)] == ["present", "present"]


def test_an_assessment_is_ink(scented):
    row = note(scented)
    row.reference = "another"
    with pytest.raises(Exception, match="ink"):
        row.save()
    with pytest.raises(Exception, match="ink"):
        Assessment.written.update(reference="another")


@pytest.mark.parametrize(
    ("facts", "says"),
    [
        ({"assessor": " "}, "assessor's name"),
        ({"assessed_on": date(2026, 3, 25)}, "after 2026-03-20"),
        ({"holds_until": date(2026, 2, 1)}, "Read both days again"),
        ({"notification": "", "notified_on": date(2026, 3, 1)}, "number of the"),
        ({"rules": "xx"}, "no label rules"),
        ({"assessed_on": date(1999, 12, 31)}, "a day from 2000 on"),
        ({"notified_on": date(1926, 3, 1)}, "a day from 2000 on"),
    ],
)
def test_what_cannot_be_is_refused(scented, facts, says):
    with make.refused(says):
        note(scented, **facts)
    assert not Assessment.objects.exists()


def test_shares_and_versions_that_cannot_be_are_refused(scented):
    lavender, paste = make.item("lavender"), make.item("paste")
    with make.refused("not above 0"):
        note(scented, fragrances={lavender: Decimal(0)})
    with make.refused("is no fragrance"):
        note(scented, fragrances={paste: Decimal("0.1")})
    with make.refused("Exchange them"):
        note(scented, recipes=(Covered(Formula.objects.get(name="Tideline"), 3, 2),))
    with make.refused("stands twice"):
        note(
            scented,
            recipes=(
                Covered(Formula.objects.get(name="Tideline")),
                Covered(Formula.objects.get(name="Tideline"), 3),
            ),
        )


def test_the_kind_of_a_real_lot_by_its_composition(scented):
    card = LabelCard(item=scented.item, identity="Liquid soap", function="For hands")
    held = held_by(scented)
    # 140 g of KOH of 90 % on 700 g of oil: far more soap than all else but water.
    assert held.soap.low > 80
    found = kind_for(card, held, kind_book("us"))
    assert (found.kind, found.because, found.doubts) == ("soap", (), ())
    card.claims = "Kills germs"
    assert kind_for(card, held, kind_book("us")).kind == "drug"
    assert kind_for(card, held, kind_book("eu")).kind == "biocide"
    assert held_by(None).soap is None


def test_bought_soap_is_not_known_to_be_the_bulk(db):
    base = make.proven(item=make.item("soap base", category="soap"))
    water = make.lot(item=make.item("water", category="water"))
    thin = make.batch(uses=[(base, "500"), (water, "400")], makes="hand soap")
    held = held_by(thin)
    assert held.soap == Bulk(Decimal(0), Decimal(100))
    found = kind_for(LabelCard(item=thin.item, identity="Soap"), held, kind_book("us"))
    assert found.because[0].line.tips == "bulk not known"
    assert "0.0 to 100.0 % with bought soap" in found.says


def test_a_decision_is_kept_with_its_day_and_binds_while_the_words_stand(scented):
    card = LabelCard(item=scented.item, identity="Soap", claims="Healing Waters")
    held, book = held_by(scented), kind_book("us")
    ours = kind_for(card, held, book)
    assert ours.kind == "drug"
    told = {
        "item": scented.item,
        "rules": "us",
        "kind": "soap",
        "ours": ours.kind,
        "over": ours.over,
    }
    with make.refused("We read it as a drug"):
        decide_kind(**told, **make.act(20))
    with make.refused("advised you, and when"):
        decide_kind(**told, why="Ada, 2026", **make.act(20))
    decide_kind(**told, why="Ada Birch, counsel, 19 March", **make.act(20))
    found = kind_for(card, held, book)
    assert (found.kind, found.against, found.prints) == ("soap", True, True)
    assert found.decided.on == make.day(20)
    card.claims = "Healing Waters. Kills germs."
    assert kind_for(card, held, book).kind == "drug"


def test_a_detergent_inside_of_a_mixture_is_found(scented):
    MixturePart.objects.bulk_create(
        MixturePart(item=make.item("water"), inci=inci, share=make.Decimal(share))
        for inci, share in (("Aqua", "0.7"), ("Cocamidopropyl Betaine", "0.3"))
    )
    found = kind_for(
        LabelCard(item=scented.item, identity="Soap"),
        held_by(scented),
        kind_book("us"),
    )
    assert found.says.startswith("It is a cosmetic: a synthetic detergent")
    assert "Cocamidopropyl Betaine is in it" in found.says


def test_an_oil_that_is_used_as_a_scent_counts_by_its_name(scented):
    make.item("lavender")
    Item.objects.filter(name="lavender").update(
        category="additive", own_inci="Lavandula Angustifolia Oil"
    )
    assert made_of(scented, contents_of(scented)).fragrances == {
        "lavender": Decimal("0.01")
    }
