"""Values computed from fatty acids against the published ranges of the oils.

Ranges: Codex CXS 210-1999, CXS 33-1981, pharmacopoeias and suppliers, each named in
fixtures/reference/oils.csv; acids: the sources named in oil_compositions.csv.
"""

from decimal import Decimal as D

import periodictable
import pytest

from production.chemistry.domain.constants import KOH
from production.chemistry.domain.profile import (
    fatty_acid,
    iodine_as_acids,
    iodine_as_triglyceride,
    profile,
)
from tests.production.chemistry.chemistry_cases import fat_of
from tests.production.chemistry.test_profile import OILS, rows

RANGES = {row["key"]: row for row in rows("oils.csv")}
FATTY_ACIDS = {row["key"]: row for row in rows("fatty_acids.csv")}
TYPICAL = {
    key: {row.acid: row.typical for row in oil.acids}
    for key, oil in OILS.items()
    if oil.is_known and oil.kind != "acid"
}
# Fatty acids as sold: one acid each, but type 50 is half palmitic.
SOLD = {
    "caprylic-acid": {"C8:0": D(1)},
    "capric-acid": {"C10:0": D(1)},
    "lauric-acid": {"C12:0": D(1)},
    "myristic-acid": {"C14:0": D(1)},
    "palmitic-acid": {"C16:0": D(1)},
    "stearic-acid-type-50": {"C16:0": D("0.5"), "C18:0": D("0.5")},
    "stearic-acid-purified": {"C18:0": D(1)},
    "oleic-acid": {"C18:1": D(1)},
}
# Name an oil here with the reason why its acids and its range disagree.
EXCEPTIONS: dict[str, str] = {}


def sv(key):
    if key in TYPICAL:
        return fat_of(TYPICAL[key])
    return 1000 * KOH * sum(n * fatty_acid(a).moles for a, n in SOLD[key].items())


def iodine(key):
    if key in TYPICAL:
        return iodine_as_triglyceride(TYPICAL[key])
    return iodine_as_acids(SOLD[key])


def outside(value, key, name):
    low, high = RANGES[key][f"{name}_low"], RANGES[key][f"{name}_high"]
    return bool((low and value < D(low)) or (high and value > D(high)))


@pytest.mark.parametrize("key", sorted(FATTY_ACIDS))
def test_the_shorthand_gives_the_acid_of_the_table(key):
    """Molar masses: periodictable, with the IUPAC/CIAAW atomic weights."""
    facts = fatty_acid(key)
    theirs = periodictable.formula(FATTY_ACIDS[key]["formula"]).mass
    assert abs(facts.molar_mass - D(str(theirs))) < D("0.02")
    assert facts.double_bonds == int(FATTY_ACIDS[key]["double_bonds"])


def test_computed_values_lie_in_the_published_ranges():
    """All 46 entries whose acids are known; babassu only just, 245.4 in 245 to 256."""
    keys = {*TYPICAL, *SOLD}
    assert len(keys) == 46
    off = {
        key
        for key in keys
        if outside(sv(key), key, "sv") or outside(iodine(key), key, "iodine")
    }
    assert off == set(EXCEPTIONS)
    assert len(keys - off) >= 44


@pytest.mark.parametrize("key", sorted(SOLD))
def test_a_fatty_acid_as_sold_is_what_its_name_says(key):
    assert {row.acid: row.typical for row in OILS[key].acids} == SOLD[key]
    assert profile([OILS[key]]).iodine_computed == iodine_as_acids(SOLD[key])


@pytest.mark.parametrize("key", sorted(TYPICAL))
def test_a_profile_of_one_oil_has_that_oils_iodine_value(key):
    found = profile([OILS[key]])
    assert abs(found.iodine_computed - iodine(key)) < D("1e-12")
    if found.iodine and key not in EXCEPTIONS:
        assert found.iodine.low <= found.iodine_computed <= found.iodine.high


@pytest.mark.parametrize(
    ("acid", "saponification", "iodine_value"),
    [
        ("C12:0", "263.40", "0.00"),
        ("C18:1", "190.09", "85.99"),
        ("C18:2", "191.40", "173.17"),
        ("C18:1-OH", "180.32", "81.57"),
    ],
)
def test_pure_triglycerides(acid, saponification, iodine_value):
    """First principles: 3 x 56105.3 / M, and 100 x I2 x double bonds / M."""
    pure = {acid: D(1)}
    assert round(fat_of(pure), 2) == D(saponification)
    assert round(iodine_as_triglyceride(pure), 2) == D(iodine_value)
