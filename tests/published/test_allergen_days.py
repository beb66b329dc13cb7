"""Which allergens are due on which day, against the laws; each case with its source.

The ids are those of the cases; what is read in a summary or from memory says so.
"""

from datetime import date
from decimal import Decimal

import pytest

from labels.domain.allergens import AllergenDays, Duty, duty
from labels.domain.ingredients import Part, ingredient_list
from labels.reads.rules import rule_set
from labels.reads.tables import name_book

CA, EU, UK = rule_set("ca"), rule_set("eu"), rule_set("uk")
NAMES = name_book()
LINALOOL, ACETATE = NAMES.allergens["Linalool"], NAMES.allergens["Linalyl Acetate"]
RINSED_OFF = Decimal("0.01")


def printed(rules, on, **shares):
    parts = [Part("Aqua", Decimal(99)), Part("Parfum", Decimal(1), "fragrance")]
    parts += [
        Part(name.replace("_", " "), Decimal(share), "allergen")
        for name, share in shares.items()
    ]
    due = rules.allergen_duty(on, rinse_off=True)
    return ingredient_list(parts, rules, NAMES, duty=due).ingredients


@pytest.mark.parametrize(
    ("placed", "due"),
    [
        pytest.param(date(2026, 7, 31), False, id="EU-ALL-66-before"),
        pytest.param(date(2026, 8, 1), True, id="EU-ALL-66-from"),
    ],
)
def test_the_union_asks_for_the_new_names_of_what_is_placed_from_august(placed, due):
    """(EU) 2023/1545, first footnote: placed until 31 July 2026. Verified as quoted."""
    listed = printed(EU, placed, Linalyl_Acetate="0.05", Linalool="0.05")
    assert ("Linalyl Acetate" in listed) is due
    assert "Linalool" in listed, "the 24 older names are due throughout"


def test_stock_without_the_new_names_is_sold_until_the_end_of_july_2028():
    """EU-ALL-66. (EU) 2023/1545, first footnote: available until 31 July 2028."""
    for on, due in ((date(2028, 7, 31), False), (date(2028, 8, 1), True)):
        asked = EU.allergen_duty(on, rinse_off=True, existing=True)
        assert asked.asks_for(ACETATE) is due
        assert asked.asks_for(LINALOOL)


@pytest.mark.parametrize(
    ("sold", "due"),
    [
        pytest.param(date(2026, 4, 11), False, id="CA-ALL-67-before"),
        pytest.param(date(2026, 4, 12), True, id="CA-ALL-67-from"),
    ],
)
def test_canada_asks_for_the_older_names_from_12_april_2026(sold, due):
    """C.R.C., c. 869, s. 21.4(4),(5), in force 2026-04-12. Verified."""
    assert ("Linalool" in printed(CA, sold, Linalool="0.02")) is due


@pytest.mark.parametrize(
    ("existing", "on", "due"),
    [
        (False, date(2026, 7, 31), False),
        (False, date(2026, 8, 1), True),
        (True, date(2028, 7, 31), False),
        (True, date(2028, 8, 1), True),
    ],
)
def test_canada_asks_for_the_new_names_later_and_of_old_products_last(
    existing, on, due
):
    """SOR/2024-63, the dates as others read s. 21.4(5): secondary."""
    asked = CA.allergen_duty(on, rinse_off=True, existing=existing)
    assert asked.asks_for(ACETATE) is due
    assert asked.asks_for(LINALOOL)


@pytest.mark.parametrize(
    ("sold_in", "due"),
    [
        pytest.param("GB", False, id="GB-ALL-68-GB"),
        pytest.param("XI", True, id="GB-ALL-68-NI"),
    ],
)
def test_great_britain_keeps_the_older_names_and_northern_ireland_has_all(sold_in, due):
    """Assimilated Regulation (EC) 1223/2009; official guidance, May 2023: the split is
    verified, that no instrument adds the names of 2023 is from memory."""
    on = date(2026, 10, 1)
    asked = UK.allergen_duty(on, rinse_off=True, sold_in=sold_in)
    assert asked.asks_for(ACETATE) is due
    assert asked.asks_for(LINALOOL)


def test_24_names_are_older_and_80_matter_for_a_wash():
    """Annex III: 81 names, of which one is limited to oral products. Verified."""
    entries = NAMES.allergens.values()
    assert sum(not one.newer for one in entries) == 24
    oral = [one.label for one in entries if "ORAL" in one.note]
    assert oral == ["6-Methyl Coumarin"]
    assert len(entries) - len(oral) == 80


@pytest.mark.parametrize("on", [None, date(2026, 11, 1)])
def test_what_no_table_knows_is_asked_about(on):
    assert EU.allergen_duty(on, rinse_off=True).asks_for(None)


def test_before_any_name_is_due_there_is_no_duty():
    assert CA.allergen_duty(date(2026, 4, 11), rinse_off=True) is None
    assert duty(AllergenDays(), RINSED_OFF) == Duty(RINSED_OFF, True, False)


@pytest.mark.parametrize("rules", [EU, CA])
@pytest.mark.parametrize(
    ("rinse_off", "share", "named"),
    [
        (True, "0.010001", True),
        (True, "0.01", False),
        (False, "0.001001", True),
        (False, "0.001", False),
    ],
)
def test_what_stays_on_the_skin_is_named_from_a_tenth_of_the_share(
    rules, rinse_off, share, named
):
    """Annex III; C.R.C., c. 869, s. 21.4(4): it must exceed the figure. Verified."""
    parts = [
        Part("Aqua", Decimal(99)),
        Part("Parfum", Decimal(1), "fragrance"),
        Part("Coumarin", Decimal(share), "allergen"),
    ]
    made = ingredient_list(parts, rules, NAMES, rinse_off)
    assert ("Coumarin" in made.ingredients) is named
    assert [one.named for one in made.tested] == [named]
