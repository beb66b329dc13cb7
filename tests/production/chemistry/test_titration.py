"""Free alkali: figures of a titration, and the indicator that says yes or no."""

from decimal import Decimal as D

import pytest
from hypothesis import given

from production.chemistry.domain.titration import (
    DROP_TEST,
    as_other,
    assay,
    caustic_of,
    citric_for,
    free_alkali,
    limits,
)
from production.quantities.domain.refusal import Refused
from tests.production.chemistry.chemistry_cases import decimals

STANDINGS = {"verified", "secondary", "recalled", "computed"}


def test_a_sample_that_takes_one_ml_of_tenth_normal_acid():
    """5 g of soap, 1.00 mL at 0.1 mol/L: 5.61053 mg KOH in 5 g."""
    assert free_alkali(D(5), D(1), D("0.1")) == D("0.001122106")
    found = free_alkali(D(5), D(1), D("0.1"))
    assert round(as_other(found, "KOH", "NaOH"), 9) == D("0.000799935")


def test_what_the_alcohol_takes_is_not_the_soaps():
    whole = free_alkali(D(5), D("1.2"), D("0.1"), blank_mL=D("0.2"))
    assert whole == free_alkali(D(5), D(1), D("0.1"))
    assert free_alkali(D(5), D(0), D("0.1")) == 0
    with pytest.raises(Refused, match="The blank took 2 mL"):
        free_alkali(D(5), D(1), D("0.1"), blank_mL=D(2))


@given(decimals(0, "0.1", 6))
def test_the_same_alkali_counted_either_way_leads_back(fraction):
    there = as_other(fraction, "NaOH", "KOH")
    assert abs(as_other(there, "KOH", "NaOH") - fraction) < D("1e-40")


def test_citric_acid_for_a_known_excess():
    assert round(citric_for(D("5.70"), "citric"), 3) == D("6.506")
    crystals = citric_for(D("5.70"), "citric monohydrate")
    assert round(crystals, 3) == D("7.116")
    assert round(citric_for(D("5.70"), "citric", purity=D("0.5")), 2) == D("13.01")
    assert citric_for(D(0)) == 0


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        (lambda: free_alkali(D(0), D(1), D(1)), "grams of the sample"),
        (lambda: free_alkali(D(1), D(1), D(0)), "normality"),
        (lambda: as_other(D(1), "KOH", "LiOH"), "KOH or NaOH"),
        (lambda: as_other(D(-1), "KOH", "NaOH"), "0 or more"),
        (lambda: citric_for(D(1), "boric"), "not an acid known here"),
        (lambda: citric_for(D(1), "citric", purity=D(99)), r"did you mean 0.99\?"),
        (lambda: caustic_of(D("0.01"), D("0.5")), "alone is more alkali"),
    ],
)
def test_what_cannot_be_meant_is_refused(wrong, words):
    with pytest.raises(Refused, match=words):
        wrong()


def test_each_limit_names_its_product_its_source_and_its_standing():
    for limit in limits():
        assert limit.product
        assert limit.source
        assert limit.standing in STANDINGS
        assert 0 < limit.figure < D("0.01")
        assert "no other" in limit.note
    recalled = {x.source for x in limits() if x.standing == "recalled"}
    assert recalled == {"IS 2888; GOST 28546", "USP, green soap"}


def test_the_drop_test_cannot_mislead():
    said = " ".join(DROP_TEST)
    for words in (
        "neutralised alcohol",
        "in water every soap turns pink by itself",
        "1 %",
        "10 to 20 mL",
        "top, the middle, the bottom and the wall",
        "only if all spots pass",
        "the next day",
        "after dilution",
        "yes or no",
        "safety data sheet",
        "No flame",
        "Never test by tongue or on the skin",
    ):
        assert words in said


class TestATubOfAlkali:
    """First principles: KOH 56.1053, NaOH 39.9968, K2CO3 138.2046 g/mol."""

    def test_one_end_point_counts_hydroxide_and_half_the_carbonate(self):
        # 5.000 g in 250 mL, of that 25 mL: 0.5 g; 8.021 mL at 1 mol/L is 8.021 mmol,
        # 0.450021 g of KOH: 90.004 %.
        found = assay(D(5), D("8.021"), D(1), part=D("0.1"))
        assert round(found.caustic, 6) == D("0.900041")
        assert found.carbonate is None
        soda = assay(D(5), D("12.25"), D(1), part=D("0.1"), alkali="NaOH")
        assert round(soda.caustic, 5) == D("0.97992")

    def test_two_end_points_tell_the_carbonate(self):
        """USP-NF potassium hydroxide: at least 85.0 % total alkali as KOH, at most
        3.5 % K2CO3. On 5 g that is 75.7504 mmol in all and 1.26624 mmol of carbonate,
        so 74.48416 mL and 75.75040 mL of normal acid; 82.158 % is left as KOH.
        """
        found = assay(D(5), D("74.48416"), D(1), second_mL=D("75.75040"))
        assert round(100 * found.caustic, 3) == D("82.158")
        assert round(100 * found.carbonate, 3) == D("3.500")

    @pytest.mark.parametrize(
        ("wrong", "words"),
        [
            (lambda: assay(D(5), D(95), D(1)), "106.6 % KOH, more than the whole"),
            (lambda: assay(D(5), D(70), D(1), second_mL=D(69)), "from the start"),
            (lambda: assay(D(5), D(40), D(1), second_mL=D(90)), "more than the whole"),
            (lambda: assay(D(0), D(70), D(1)), "grams of KOH"),
            (lambda: assay(D(5), D(70), D(1), part=D(0)), "part of the solution"),
        ],
    )
    def test_what_cannot_be_is_refused(self, wrong, words):
        with pytest.raises(Refused, match=words):
            wrong()
