"""The superfat of what was really weighed: worked by hand from the elements' weights.

1 kg of pure triolein (C57H104O6, 885.453 g/mol) takes 3 mol of KOH (56.1056 g/mol):
190.090 g. Conventional atomic weights: CIAAW (IUPAC), https://www.ciaaw.org
"""

from decimal import Decimal as D

import pytest

from production.batches.domain.weighed import Aim, Went, judge
from production.recipes.domain.pot import Fat, Lye

TRIOLEIN = Fat(sv=D("190.090"), sv_low=D("190.090"), sv_high=D("190.090"))
# Published ranges: olive Codex CXS 33, coconut Codex CXS 210 (1999) Table 2, castor
# BP 1993.
OLIVE = Fat(sv=D("190.5"), sv_low=D(184), sv_high=D(196))
COCONUT = Fat(sv=D(255), sv_low=D(248), sv_high=D(265))
CASTOR = Fat(sv=D(181), sv_low=D(176), sv_high=D(187))
RECIPE = Aim(superfat=D("0.03"), band=D("0.005"))


def oil(grams=1000, fat=TRIOLEIN, name="triolein"):
    return Went(name[:3].upper(), name, D(grams), "oil", fat=fat)


def koh(grams, purity="1", basis="stated", alkali="KOH"):
    lye = None if purity is None else Lye(D(purity), basis=basis)
    return Went("K1", "potash", D(grams), "alkali", alkali=alkali, lye=lye)


def citric(grams, purity="1"):
    return Went("C1", "citric acid", D(grams), "acid", acid="citric", purity=D(purity))


def close(value, expected, within="0.01"):
    return abs(value - D(expected)) <= D(within)


class TestTheFigure:
    def test_as_much_potash_as_the_fat_takes_leaves_nothing(self):
        found = judge([oil(), koh("190.090")], None)
        assert close(found.range.central, 0, "1e-9")
        assert not found.excess

    def test_more_is_a_lye_excess_with_what_stays_free(self):
        """By hand: 200 / 190.090 is 1.052133; 9.91 g find no fat."""
        found = judge([oil(), koh(200)], None)
        assert close(found.range.central * 100, "-5.2133", "0.0001")
        assert found.excess
        assert close(found.free, "9.91")
        assert "-5.21 %" in found.says
        assert "9.91 g of potassium hydroxide find no fat" in found.says

    def test_a_trace_of_free_alkali_never_reads_as_none(self):
        """0.1 g too much in 19 kg of potash: little, and not nothing."""
        found = judge([oil(100_000), koh("19009.1")], None)
        assert found.excess
        assert "is -0.000526 %" in found.says
        nothing = judge([oil(100_000), koh("19009.0")], None)
        assert "is 0 %" in nothing.says

    def test_a_weaker_tub_gives_less(self):
        """By hand: 200 g at 90 % are 180 g; 1 - 180 / 190.090 is 5.308 %."""
        found = judge([oil(), koh(200, "0.9")], None)
        assert close(found.range.central * 100, "5.308", "0.001")

    def test_soda_counts_by_mole(self):
        """135.513 g of NaOH for 1 kg of triolein: 3 mol of 39.997 g/mol."""
        found = judge([oil(), koh("135.513", alkali="NaOH")], None)
        assert close(found.range.central, 0, "0.00001")

    def test_citric_acid_takes_its_alkali_first(self):
        """By hand: 1 g of anhydrous citric acid takes 0.876084 g of KOH."""
        found = judge([oil(), koh("198.851"), citric(10)], None)
        assert close(found.range.central, 0, "0.00001")

    def test_the_ends_are_those_of_the_published_values(self):
        """A discount of 3 % on the usual values is anything from -0.115 to 6.571 %:
        by hand, demand 202.400 to 215.800 g, weighed 0.97 x 208.9 = 202.633 g, of
        which a purity of "100 %" may be half a percent less: 201.620 g."""
        oils = [
            oil(600, OLIVE, "olive"),
            oil(300, COCONUT, "coconut"),
            oil(100, CASTOR, "castor"),
        ]
        found = judge([*oils, koh("202.633", "1")], RECIPE)
        assert close(found.range.ends.low * 100, "-0.115", "0.001")
        assert close(found.range.ends.high * 100, "6.571", "0.001")

    def test_a_floor_only_may_be_lye_heavier_than_it_looks(self):
        """ "min. 85 %" is never taken for 85 %: the low end has it pure."""
        found = judge([oil(), koh(220, "0.85", "minimum")], None)
        assert close(found.range.central * 100, "1.625", "0.001")
        assert close(found.range.ends.low * 100, "-15.735", "0.001")


class TestWhatIsMissing:
    def test_a_lye_has_no_superfat(self):
        found = judge([koh(100), Went("", "water", D(100), "water")], None)
        assert found.range is None
        assert not found.missing
        assert "without fat has no superfat" in found.says
        assert not found.excess

    @pytest.mark.parametrize(
        ("one", "names"),
        [
            (koh(200, None), ("purity", "K1 (potash)")),
            (koh(200, alkali=""), ("potash", "KOH or NaOH")),
            (oil(fat=None, name="linseed"), ("saponification value", "linseed")),
            (Went("X1", "green stuff", D(5), ""), ("green stuff", "what it is")),
            (Went("P1", "bought paste", D(500), "soap"), ("P1", "not cooked here")),
            (Went("A1", "acid", D(5), "acid", acid="lactic"), ("A1", "purity")),
        ],
    )
    def test_it_says_which_value_is_missing_and_no_number(self, one, names):
        found = judge([oil(), koh(200), one], None)
        assert found.range is None
        assert not found.excess
        for name in names:
            assert name in found.says

    def test_what_was_not_weighed_asks_for_nothing(self):
        assert judge([oil(), koh(0, None), koh(180)], None).range is not None


class TestMending:
    def test_more_of_the_same_oil_brings_it_to_two_percent(self):
        """By hand: 200 g need 200 / 0.98 / 0.190090 = 1073.605 g; 73.6 g more."""
        found = judge([oil(), koh(200)], None)
        [(name, amount)] = found.mends[0].parts
        assert name == "triolein"
        assert close(amount, "73.605", "0.01")

    def test_or_so_much_oleic_acid(self):
        """By hand: (204.0816 - 190.090) g of KOH, at 56.1056 / 282.468 for a gram."""
        found = judge([oil(), koh(200)], None)
        [(name, amount)] = found.mends[1].parts
        assert name == "oleic acid"
        assert close(amount, "70.44", "0.01")

    def test_mended_it_has_the_superfat_of_its_recipe(self):
        aim = Aim(D("0.03"), D("0.005"), oils=(("triolein", D("190.090"), D(1)),))
        found = judge([oil(), koh(200)], aim)
        [(_, amount)] = found.mends[0].parts
        again = judge([oil(1000 + amount), koh(200)], aim)
        assert close(again.range.central, "0.03", "1e-9")
        assert "superfat of 3 %" in found.mending

    def test_oils_come_in_the_recipes_proportions(self):
        shares = (("olive", D("190.5"), D("0.75")), ("coconut", D(255), D("0.25")))
        aim = Aim(D("0.03"), D("0.005"), oils=shares)
        found = judge([oil(), koh(200)], aim)
        olive, coconut = found.mends[0].parts
        assert close(olive[1] / coconut[1], 3, "1e-9")

    def test_a_declared_excess_is_no_mistake(self):
        aim = Aim(D("-0.05"), D("0.005"), lye_excess=True)
        found = judge([oil(), koh(200)], aim)
        assert not found.excess
        assert found.range.grade == "intended"
        assert not found.mends


class TestMoreThanTheRecipe:
    def test_potash_over_the_band_is_said(self):
        """By hand: 0.97 x 190.090 is 184.387 g; 190 g are 3.04 % more."""
        over = judge([oil(), koh(190)], RECIPE).over
        assert close(over.asked, "184.387")
        assert close(over.share * 100, "3.044", "0.001")
        assert "5.6 g more" in str(over) or "5.61 g more" in str(over)
        assert "0.5 %" in str(over)

    def test_within_the_band_nothing_is_said(self):
        assert judge([oil(), koh(185)], RECIPE).over is None

    def test_too_little_fat_is_too_much_potash(self):
        assert judge([oil(900), koh("184.387")], RECIPE).over is not None
