"""``declare LOT``: the ingredient list of what was really cooked, and filled."""

import io
import json
from decimal import Decimal

import pytest
from django.core.management import CommandError, call_command

from production.buying.actions.purchases import open_stock
from production.chemistry.domain.composition import soap_content
from production.chemistry.domain.pot import Acid, Oil, Pot
from production.chemistry.domain.saponification import saponify
from production.contents.reads.contents import contents_of
from production.counting.actions import count_lot
from production.lots.actions.lot_deeds import reweigh_lot
from production.models import Lot, ReferenceOil
from production.release.actions.readings import note_measurement
from production.selling.actions.sales import take_back
from production.stock.actions.opening_lots import NewLot, Reading
from tests import make
from tests.once import remembered

pytestmark = pytest.mark.django_db

OLIVE, COCONUT, WATER, CITRIC = Decimal(600), Decimal(400), Decimal(800), Decimal(12)
PURITY = Decimal("0.9")
OIL_KEYS = {"olive oil": "olive-oil", "coconut oil": "coconut-oil"}


def oil(name, grams, key=None, **facts):
    key = key or OIL_KEYS[name]
    facts |= {"category": "oil", "oil": ReferenceOil.objects.get(key=key)}
    return make.lot(name.upper()[:3], grams=grams, item=make.item(name, **facts))


def material(code, name, category, grams="3000", **facts):
    return make.lot(code, grams=grams, item=make.item(name, category=category), **facts)


def recipe(superfat="0.03"):
    oils = [Oil("olive", OLIVE, Decimal("190.5")), Oil("coco", COCONUT, Decimal(255))]
    return saponify(
        Pot(
            oils=oils,
            superfat=Decimal(superfat),
            koh_purity=PURITY,
            acids=[Acid("citric", CITRIC, Decimal(1))],
            water=WATER,
        )
    )


def cook(superfat="0.03", purity=PURITY, made=Decimal(1900)):
    """Two oils, potash, water and citric acid; what is missing has boiled off."""
    citric = make.item("citric acid", category="acid", acid="citric")
    pure = (Reading("purity", Decimal(1), "stated"),)
    lye = recipe(superfat).koh_weighed.quantize(Decimal("0.001"))
    uses = [
        (oil("olive oil", OLIVE), OLIVE),
        (oil("coconut oil", COCONUT), COCONUT),
        (make.koh(purity=purity, code="KOH"), lye),
        (material("WATER", "water", "water", grams="20000"), WATER),
        (make.lot("CIT", item=citric, readings=pure), CITRIC),
    ]
    why = "a worked case"
    return make.batch(
        "cook", uses=uses, makes="paste", amount=made, code="PASTE", reason=why
    )


def dilute(paste, grams=Decimal(1000), water=Decimal(1500), **facts):
    tap = Lot.objects.get(code="WATER")
    uses = [(paste, grams), (tap, water)]
    return make.batch(uses=uses, amount=grams + water, code="THIN", **facts)


SCENT = {"Linalool": Decimal("0.2"), "Limonene": Decimal("0.00001")}


def finish(thin):
    """Fragrance with what its paper says, and brine made before."""
    salt = material("SALT", "sodium chloride", "salt")
    tap = Lot.objects.get(code="WATER")
    brine = make.batch(
        "preparation",
        uses=[(salt, "250"), (tap, "750")],
        makes="brine",
        amount="1000",
        code="BRINE",
    )
    scent = make.item("lavender blend", category="fragrance", own_inci="Parfum")
    new = NewLot(Decimal(100), "SCENT", constituents=SCENT)
    open_stock(item=scent, lot=new, value=Decimal(5), **make.act())
    uses = [(thin, "2000"), (Lot.objects.get(code="SCENT"), "20"), (brine, "80")]
    return make.batch(
        "finishing", uses=uses, makes="finished soap", amount="2100", code="FINE"
    )


def fill(fine):
    return make.batch(
        "filling",
        uses=[(fine, "2000"), (make.bottles("BOT"), "8")],
        makes="hand wash",
        unit="piece",
        amount="8",
        net_mass="250",
        code="FILL",
    )


def declared(lot, rules, *words):
    out = io.StringIO()
    call_command("declare", lot, "--rules", rules, *words, "--json", stdout=out)
    return json.loads(out.getvalue())


@pytest.fixture
@remembered
def bottle(owner):
    return fill(finish(dilute(cook())))


def test_as_added_lists_what_was_weighed_in(bottle):
    """By weight: water, olive, coconut, potash, citric acid, salt, scent."""
    found = declared("FILL", "eu")["ingredients"]
    assert found == [
        "Aqua",
        "Olea Europaea Fruit Oil",
        "Cocos Nucifera Oil",
        "Potassium Hydroxide",
        "Parfum",
        "Sodium Chloride",
        "Citric Acid",
        "Linalool",
    ]


@pytest.mark.parametrize(
    ("rules", "names"),
    [
        (
            "us",
            [
                "Water",
                "Potassium Olivate",
                "Potassium Cocoate",
                "Glycerin",
                "Fragrance",
                "Sodium Chloride",
                "Potassium Citrate",
                "Olea Europaea (Olive) Fruit Oil",
                "Cocos Nucifera (Coconut) Oil",
            ],
        ),
        (
            "ca",
            [
                "Aqua",
                "Potassium Olivate",
                "Potassium Cocoate",
                "Glycerin",
                "Sodium Chloride",
                "Potassium Citrate",
                "Olea Europaea Fruit Oil",
                "Cocos Nucifera Oil",
                "Linalool",
                "Parfum",
            ],
        ),
    ],
)
def test_as_finished_lists_soap_and_the_glycerol_that_formed(bottle, rules, names):
    found = declared("FILL", rules)["ingredients"]
    assert sorted(found) == sorted(names)
    assert found[:4] == names[:4]
    assert not any("Hydroxide" in name for name in found)


def test_a_basis_may_be_asked_for(bottle):
    assert (
        "Potassium Olivate"
        in declared("FILL", "eu", "--basis", "finished")["ingredients"]
    )
    assert (
        "Potassium Hydroxide"
        in declared("FILL", "us", "--basis", "added")["ingredients"]
    )


def test_too_much_lye_stays_in_the_list_and_no_oil_does(owner):
    cook(superfat="-0.02")
    found = declared("PASTE", "us")["ingredients"]
    assert "Potassium Hydroxide" in found
    assert not any(name.endswith("Oil") for name in found)


def test_superfat_is_worked_back_from_what_was_used(owner):
    held = contents_of(cook())
    assert abs(held.superfat - Decimal("0.03")) < Decimal("0.00001")


def by_hand(grams, sv, superfat):
    """Soap from one oil; molar masses in g per mol: KOH 56.105, glycerol 92.094."""
    reacted, alkali = grams * (1 - superfat), sv / 1000
    return reacted * (1 + alkali - alkali / Decimal("56.105") / 3 * Decimal("92.094"))


def test_soap_content_of_the_diluted_soap_is_that_of_the_paste_times_its_share(owner):
    thin = dilute(cook())
    superfat = Decimal("0.03")
    soap = by_hand(OLIVE, Decimal("190.5"), superfat)
    soap += by_hand(COCONUT, Decimal(255), superfat)
    of_paste = soap / 1900
    assert abs(recipe().soap_potassium - soap) < Decimal("0.05")
    held = contents_of(thin).finished
    assert abs(soap_content(held) - of_paste * 1000 / 2500) < Decimal("0.00002")
    glycerol = recipe().glycerol * 1000 / 1900
    assert abs(held.of_kind("glycerol") - glycerol) < Decimal("0.01")
    assert abs(held.total - 2500) < Decimal("1e-9")


def test_paste_that_dried_out_has_lost_water_only(owner):
    paste = cook()
    before = contents_of(paste).finished
    reweigh_lot(lot=paste, found=Decimal(1800), **make.act(3))
    thin = dilute(paste, Decimal(1800), Decimal(700), on=make.day(3))
    after = contents_of(thin).finished
    assert after.of_kind("soap") == pytest.approx(before.of_kind("soap"))
    water = before.of_kind("water") - 100 + 700
    assert after.of_kind("water") == pytest.approx(water)


def test_a_count_up_and_a_return_change_nothing_in_the_soap(owner):
    paste = cook()
    count_lot(lot=paste, found=Decimal(1950), **make.act(3, reason="a rest"))
    sale = make.sale(paste, "100", on=make.day(4))
    back = {"then": "restock", **make.act(5)}
    take_back(line=sale.lines.get(), amount=Decimal(100), **back)
    thin = make.batch(uses=[(paste, "1950")], amount="1950", on=make.day(6))
    same = contents_of(thin).finished
    expected = soap_content(contents_of(paste).finished)
    assert abs(soap_content(same) - expected) < Decimal("1e-12")


def test_an_oil_without_a_soap_name_is_refused_until_the_maker_chooses(owner):
    rice = oil("rice bran oil", Decimal(1000), key="rice-bran-oil")
    lye = make.koh(code="KOH")
    uses = [(rice, "1000"), (lye, "200"), (material("W", "water", "water"), "500")]
    make.batch("cook", uses=uses, makes="paste", amount="1700", code="PASTE")
    with pytest.raises(CommandError, match=r"rice bran oil, RIC.*as added"):
        declared("PASTE", "us")
    found = declared("PASTE", "us", "--basis", "added")["ingredients"]
    assert found[:2] == ["Oryza Sativa (Rice) Bran Oil", "Water"]


def test_a_soap_name_of_the_makers_own_stands_in(owner):
    name = {"own_potassium_soap": "Potassium Rice Branate"}
    rice = oil("rice bran oil", Decimal(1000), key="rice-bran-oil", **name)
    uses = [(rice, "1000"), (make.koh(code="KOH"), "200")]
    make.batch("cook", uses=uses, makes="paste", amount="1200", code="PASTE")
    assert declared("PASTE", "us")["ingredients"][0] == "Potassium Rice Branate"


def test_an_unknown_purity_refuses_a_finished_list_and_says_whose(owner):
    cook(purity=None)
    with pytest.raises(CommandError, match=r"purity of KOH .* is not in the book"):
        declared("PASTE", "us")
    assert "Potassium Hydroxide" in declared("PASTE", "eu")["ingredients"]


def test_a_purity_that_comes_later_counts_for_what_was_cooked_before(owner):
    cook(purity=None)
    lye = Lot.objects.get(code="KOH")
    known = [Reading("purity", PURITY, "stated")]
    note_measurement(lot=lye, readings=known, **make.act(9))
    assert "Potassium Olivate" in declared("PASTE", "us")["ingredients"]


def test_a_material_that_nobody_has_named_refuses(owner):
    odd = make.lot("ODD", item=make.item("grandmother's powder", category="additive"))
    make.batch(uses=[(odd, "100")], amount="100", code="MIX")
    for rules in ("us", "eu"):
        with pytest.raises(CommandError, match=r"INCI"):
            declared("MIX", rules)


def test_packaging_is_no_ingredient(bottle):
    for rules in ("eu", "us", "ca"):
        found = declared("FILL", rules)["ingredients"]
        assert not any("ottle" in name for name in found)


def test_a_lot_of_packaging_has_no_list(bottle):
    with pytest.raises(CommandError):
        declared("BOT", "us")


def test_a_list_as_text_is_one_line_and_its_notes(bottle):
    out = io.StringIO()
    call_command("declare", "FILL", "--rules", "us", stdout=out)
    first, *_ = out.getvalue().splitlines()
    assert first.startswith("Ingredients: Water, Potassium Olivate, ")
