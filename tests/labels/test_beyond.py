"""What a label leans on beyond its own words, element by element."""

from datetime import date

import pytest

from labels.domain.bath import CAUTION
from labels.models import LabelCard
from labels.reads.beyond import beyond
from production.models import Item
from production.release.actions.readings import note_measurement
from production.stock.actions.opening_lots import Reading
from tests import make
from tests.labels.scented import note, scented_bottles

NOW = date(2026, 3, 21)


@pytest.fixture
def bottles(db):
    made = scented_bottles()
    Item.objects.filter(name="olive oil").update(own_potassium_soap="Potassium Olivate")
    return made


def card(lot, **facts):
    return LabelCard(item=lot.item, identity="Liquid soap", **facts)


def states(lot, rules, **facts):
    found = beyond(card(lot, **facts), lot, rules, NOW).found
    return {one.element: one.state for one in found}


def says(lot, rules, element, **facts):
    found = beyond(card(lot, **facts), lot, rules, NOW).found
    return " ".join(one.says for one in found if one.element == element)


def read_ph(lot, value):
    reading = [Reading("pH", value)]
    note_measurement(lot=lot, readings=reading, **make.act(20))


def test_a_true_soap_of_the_us_asks_for_nothing_more(bottles):
    assert states(bottles, "us") == {
        "Kind of product": "present",
        "Foaming bath caution": "not needed",
    }
    assert beyond(card(bottles), bottles, "us", NOW).kind.kind == "soap"
    assert states(bottles, "ca") == {"Kind of product": "present"}


def test_what_is_not_printed_here_is_missing_with_the_claim(bottles):
    facts = {"claims": "Kills germs"}
    assert states(bottles, "us", **facts)["Kind of product"] == "missing"
    assert "“Kills germs”" in says(bottles, "us", "Kind of product", **facts)


def test_a_foaming_bath_wants_its_caution_and_directions(bottles):
    foam = {"bath_foam": True, "directions": "Pour a capful under the tap."}
    caution = {"cautions": f"{CAUTION}."}
    element = "Foaming bath caution"
    assert states(bottles, "us", **foam)[element] == "missing"
    assert states(bottles, "us", **foam | caution)[element] == "present"
    without = foam | caution | {"directions": ""}
    assert "directions for safe use" in says(bottles, "us", element, **without)
    # 21 CFR 740.17(b): only what is labelled for adults alone is free of it.
    assert states(bottles, "us", **foam, adults_only=True)[element] == "missing"
    adults = {"adults_only": True, "function": "For adults only"}
    assert states(bottles, "us", **foam | adults)[element] == "not needed"
    assert element not in states(bottles, "eu", **foam)


@pytest.mark.parametrize("rules", ["eu", "uk"])
def test_the_union_and_great_britain_want_assessment_and_notification(bottles, rules):
    assert states(bottles, rules) == {
        "Kind of product": "present",
        "Restricted substances": "present",
        "Assessment": "missing",
        "Notification": "missing",
    }
    read_ph(bottles, make.Decimal("9.6"))
    note(bottles, rules=rules)
    assert set(states(bottles, rules).values()) == {"present"}
    assert "are not checked" in says(bottles, rules, "Restricted substances")


def test_a_lot_over_a_limit_is_missing_with_its_clause(bottles):
    read_ph(bottles, make.Decimal("11.2"))
    told = beyond(card(bottles), bottles, "eu", NOW).found
    [one] = [found for found in told if found.element == "Restricted substances"]
    assert one.state == "missing"
    assert "over the limit" in one.says
    assert one.clause == "Regulation (EC) 1223/2009 Annex III 15a(d)"


def test_a_product_without_a_lot_says_what_is_not_known(db):
    item = make.item("soap to come", kind="made", unit="piece")
    told = beyond(LabelCard(item=item, identity="Soap"), None, "us", NOW)
    assert told.kind.kind == "cosmetic", "the exemption is not taken without knowing"
    found = beyond(LabelCard(item=item, identity="Soap"), None, "eu", NOW).found
    assert "No lot was made yet" in " ".join(one.says for one in found)


PRINTED = ["product", "scent", "origin", "cautions", "declared", "substitutes"]


@pytest.mark.parametrize("field", PRINTED)
def test_a_claim_in_any_printed_field_is_read(bottles, field):
    facts = {field: "Antibacterial, kills 99% of germs"}
    assert beyond(card(bottles, **facts), bottles, "us", NOW).kind.kind == "drug"


@pytest.mark.parametrize(
    "field", ["identity", "function", "directions", "cautions", "origin"]
)
def test_a_claim_in_another_language_is_read_in_every_field(bottles, field):
    written = card(bottles)
    written.save()
    written.texts.create(language="fr", **{field: "Savon antibactérien"})
    found = beyond(written, bottles, "eu", NOW).kind
    assert found.kind == "biocide"
    assert "in fr" in found.says
