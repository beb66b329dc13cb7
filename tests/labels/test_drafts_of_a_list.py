"""What of a real lot keeps its list from being printed clean, and what does not."""

from decimal import Decimal

import pytest

from labels.models import LabelCard
from labels.reads.listing import declare_lot
from labels.reads.rules import rule_set
from labels.reads.tables import name_book
from production.models import Lot
from production.stock.actions.opening_lots import Reading
from production.workshop.actions.mixtures import write_mixture
from tests import make
from tests.labels.test_declare_lot import oil
from tests.production.fragrance.test_fragrance_documents import note

CA, EU, US = rule_set("ca"), rule_set("eu"), rule_set("us")
pytestmark = pytest.mark.django_db

LINALOOL = {"Linalool": Decimal("0.1")}


def scent(code, name="Kelp and cedar", **facts):
    kind = {"category": "fragrance", "own_inci": "Parfum", **facts}
    return make.lot(code, item=make.item(name, **kind))


def soap(*scents, grams="5", code="SOAP"):
    """Scents in glycerin; ``grams`` of each, in 1,000 g."""
    base = make.item("glycerin", category="additive", own_inci="Glycerin")
    rest = 1000 - Decimal(grams) * len(scents)
    uses = [(make.lot(item=base, grams="5000"), rest)]
    uses += [(lot, grams) for lot in scents]
    return make.batch("finishing", uses=uses, amount="1000", code=code)


def listed(lot, rules=EU, basis=None):
    return declare_lot(lot, rules, basis, name_book())


@pytest.mark.parametrize("basis", ["added", "finished"])
@pytest.mark.parametrize("rules", [EU, CA])
def test_a_scent_without_a_document_is_a_draft_that_names_the_lot(rules, basis):
    made = listed(soap(scent("S-1")), rules, basis)
    [lacking] = made.lacking
    assert "S-1 (Kelp and cedar) has no document" in lacking


def test_the_us_asks_for_no_document():
    assert listed(soap(scent("S-1")), US).lacking == ()


def test_one_among_several_is_named_and_the_others_are_not():
    known, open_ = scent("S-1"), scent("S-2", "Tar")
    note(known, constituents=LINALOOL)
    [lacking] = listed(soap(known, open_)).lacking
    assert "S-2 (Tar)" in lacking


def test_a_document_that_lists_nothing_says_nothing_unless_it_says_so():
    quiet, free = scent("S-1"), scent("S-2", "Tar")
    note(quiet, most=Decimal("0.02"))
    note(free, no_allergens=True)
    [lacking] = listed(soap(quiet, free)).lacking
    assert "S-1" in lacking
    assert "does not say that there is none" in lacking


def test_an_essential_oil_asks_for_its_document_whatever_its_category():
    oil_ = scent("LAV", "lavender", category="additive", own_inci="Lavender Oil")
    called = {"category": "additive", "own_inci": "Lavandula Angustifolia Oil"}
    lavender = make.lot("LAV-2", item=make.item("true lavender", **called))
    [lacking] = listed(soap(oil_, lavender)).lacking
    assert "LAV-2" in lacking


def test_a_blend_made_here_has_the_documents_of_its_lots():
    a, b = scent("S-1"), scent("S-2", "Tar")
    note(a, constituents=LINALOOL)
    blend = make.batch(
        "preparation",
        uses=[(a, "60"), (b, "40")],
        makes="house blend",
        amount="100",
        code="BLEND",
    )
    mixed = soap(blend)
    assert "S-2 (Tar)" in listed(mixed).lacking[0]
    assert "BLEND" not in " ".join(listed(mixed).lacking)
    note(b, constituents={"Coumarin": Decimal("0.2")}, key="b")
    made = listed(mixed)
    assert made.lacking == ()
    # By hand: 0.5 % of the blend, 60 and 40 % of it, 10 and 20 % of those.
    shares = {one.label: one.percent for one in made.tested}
    assert shares == {"Linalool": Decimal("0.03"), "Coumarin": Decimal("0.04")}


def boiled(rules, basis):
    """By hand: 0.9 g of linalool in 10,000 g weighed in, and in 8,000 g left.

    Weighed in it is 0.009 %, of the product 0.01125 %.
    """
    lot = scent("S-1")
    note(lot, constituents=LINALOOL)
    water = make.item("water", category="water")
    uses = [(make.lot("TAP", grams="20000", item=water), "9991"), (lot, "9")]
    made = make.batch("cook", uses=uses, amount="8000", code="P", reason="steamed")
    return listed(made, rules, basis)


@pytest.mark.parametrize("basis", ["added", "finished"])
def test_the_threshold_is_tested_on_what_is_left_not_on_what_was_weighed_in(basis):
    made = boiled(EU, basis)
    assert "Linalool" in made.ingredients
    [tested] = made.tested
    assert tested.percent == Decimal("0.01125")
    assert "0.00125\N{NO-BREAK SPACE}% above" in tested.margin
    line = {one.name: one for one in made.lines}["Linalool"]
    assert line.in_product == Decimal("0.01125")
    assert line.sources.keys() == {"S-1"}
    if basis == "added":
        assert line.percent == Decimal("0.009")


def test_a_product_that_stays_on_the_skin_is_the_makers_statement():
    lot = scent("S-1")
    note(lot, constituents={"Linalool": Decimal("0.01")})
    made = soap(lot)
    assert "Linalool" not in listed(made).ingredients
    LabelCard.objects.create(item=made.item, rinse_off=False)
    assert "Linalool" in listed(made).ingredients


def test_a_lye_of_unknown_strength_is_said_to_count_whole():
    lye = make.koh(purity=None, code="KOH")
    water = make.lot(item=make.item("water", category="water"))
    made = make.batch("preparation", uses=[(lye, "50"), (water, "50")], amount="100")
    [lacking] = listed(made, EU, "added").lacking
    assert "strength of KOH" in lacking
    assert {one.name: one.percent for one in listed(made, EU).lines} == {
        "Aqua": 50,
        "Potassium Hydroxide": 50,
    }


def test_a_bought_lye_counts_by_the_strength_of_its_lot():
    """By hand: 100 g of lye at 45 % and 100 g of water are 45 g and 155 g."""
    kind = make.item("potash lye 45 %", category="alkali", alkali="KOH")
    pure = (Reading("purity", Decimal("0.45"), "stated"),)
    lye = make.lot("LYE", item=kind, readings=pure)
    water = make.lot("TAP", item=make.item("water", category="water"))
    made = make.batch("preparation", uses=[(lye, "100"), (water, "100")], amount="200")
    lines = {one.name: one for one in listed(made, EU).lines}
    assert lines["Potassium Hydroxide"].percent == Decimal("22.5")
    assert lines["Aqua"].percent == Decimal("77.5")
    assert lines["Aqua"].sources == {"TAP": 50, "LYE": Decimal("27.5")}


def test_a_colour_made_up_in_glycerin_is_a_colourant_only_by_its_own_name():
    blue = make.item("blue drops", category="colourant")
    shares = {"CI 42090": Decimal("0.1"), "Glycerin": Decimal("0.9")}
    write_mixture(item=blue, parts=shares)
    guard = make.item("guard", category="preservative")
    shares = {"Phenoxyethanol": Decimal("0.9"), "Ethylhexylglycerin": Decimal("0.1")}
    write_mixture(item=guard, parts=shares)
    water = make.lot("TAP", item=make.item("water", category="water"))
    uses = [(water, "970"), (make.lot("B", item=blue), "20")]
    uses += [(make.lot("G", item=guard), "10")]
    made = make.batch("finishing", uses=uses, amount="1000")
    for basis in ("added", "finished"):
        found = listed(made, EU, basis)
        assert found.ingredients == (
            "Aqua",
            "Glycerin",
            "Phenoxyethanol",
            "Ethylhexylglycerin",
            "CI 42090",
        )
        lines = {one.name: one.percent for one in found.lines}
        assert lines["CI 42090"] == Decimal("0.2")
        assert lines["Phenoxyethanol"] == Decimal("0.9")


@pytest.mark.parametrize("rules", [US, EU, CA])
def test_bound_alkali_is_never_listed_as_finished(owner, rules):
    """Canola has no soap name in the inventory: refused, not an oil and potash."""
    rape = oil("canola oil", Decimal(1000), key="rapeseed-oil-low-erucic")
    rape.item.own_inci = "Canola Oil"
    rape.item.save()
    water = make.lot("TAP", item=make.item("water", category="water"))
    uses = [(rape, "1000"), (make.koh(code="KOH"), "180"), (water, "400")]
    made = make.batch("cook", uses=uses, makes="paste", amount="1580", code="P")
    with make.refused("no potassium soap name for Canola Oil (canola oil, CAN)"):
        listed(made, rules, "finished")
    rape.item.own_potassium_soap = "Potassium Canolate"
    rape.item.save()
    found = listed(Lot.objects.get(code="P"), rules, "finished").ingredients
    assert "Potassium Canolate" in found
    assert "Potassium Hydroxide" not in found
