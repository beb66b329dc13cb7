"""Alternatives in a shortage: 21 CFR 701.3(m), verified; no other rules allow them."""

from decimal import Decimal

import pytest

from labels.domain.ingredients import Part, ingredient_list
from labels.domain.substitutes import Substitute, read_substitutes, with_substitutes
from labels.models import LabelCard
from labels.reads.listing import declare_lot
from labels.reads.rules import rule_set, rule_sets
from labels.reads.tables import name_book
from production.quantities.domain.refusal import Refused
from tests import make

NAMES = name_book()
PARTS = (
    Part("Aqua", Decimal(70)),
    Part("Helianthus Annuus Seed Oil", Decimal(29)),
    Part("CI 42090", Decimal(1), "colourant"),
)
TYPED = """
Helianthus Annuus Seed Oil  or Carthamus Tinctorius Seed Oil

Sodium Chloride
"""


def printed(code, typed=TYPED):
    rules = rule_set(code)
    made = ingredient_list(PARTS, rules, NAMES)
    return with_substitutes(made, read_substitutes(typed), rules, NAMES)


def test_the_us_names_an_alternative_with_or_and_others_after_all():
    made = printed("us")
    assert made.ingredients == (
        "Water",
        "Helianthus Annuus (Sunflower) Seed Oil or "
        "Carthamus Tinctorius (Safflower) Seed Oil",
        "Blue 1",
        "may also contain Sodium Chloride",
    )
    assert any("21 CFR 701.3(m)" in note for note in made.notes)
    assert len(made.lines) == 3, "a line is of what is in it"


@pytest.mark.parametrize("code", [code for code in rule_sets() if code != "us"])
def test_others_print_none_and_say_so(code):
    made = printed(code)
    assert len(made.ingredients) == 3
    assert any("Substitutes are not printed" in note for note in made.notes)


def test_nothing_is_said_where_none_is_written():
    assert printed("us", " \n").ingredients[0] == "Water"
    assert not any("ubstitute" in note for note in printed("eu", "").notes)


def test_an_alternative_to_what_is_not_listed_is_left_out_with_a_note():
    made = printed("us", "Sorbitol or Glycerin")
    assert len(made.ingredients) == 3
    assert "Sorbitol is not in this list: Glycerin is left out." in made.notes


@pytest.mark.parametrize("typed", ["or Glycerin", "Glycerin or ", "A or B or C"])
def test_half_a_pair_is_refused(typed):
    with pytest.raises(Refused, match="One pair a line"):
        read_substitutes(typed)


def test_a_name_that_holds_the_letters_is_one_name():
    assert read_substitutes("Orange Oil") == (Substitute("Orange Oil"),)


@pytest.mark.django_db
def test_the_card_of_the_product_brings_them():
    base = make.lot(item=make.item("glycerin", category="additive"))
    made = make.batch("finishing", uses=[(base, "100")], amount="100")
    LabelCard.objects.create(item=made.item, substitutes="Glycerin or Sorbitol")
    listed = declare_lot(made, rule_set("us"), None, NAMES).ingredients
    assert listed == ("Glycerin or Sorbitol",)
