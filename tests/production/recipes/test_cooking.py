"""A paste from its formula: shares and weights, intent, ranges, what is in the lye."""

from dataclasses import replace
from decimal import Decimal as D
from decimal import localcontext

import pytest
from hypothesis import given
from hypothesis import strategies as st

from production.chemistry.domain.constants import EXACT
from production.quantities.domain.refusal import Refused
from production.recipes.domain.cooking import cook
from production.recipes.domain.oil_shares import (
    Typed,
    shared_out,
    shares_of_weights,
    the_rest,
)
from production.recipes.domain.pot import Fat, Line, Lye, Terms
from tests.production.chemistry.chemistry_cases import decimals

RAPESEED = Line("rapeseed oil", D("0.75"), fat=Fat(D(188), D(182), D(193)))
PALM_KERNEL = Line("palm kernel oil", D("0.25"), fat=Fat(D(242), D(230), D(254)))
OILS = (RAPESEED, PALM_KERNEL)
KOH = {"KOH": Lye(D("0.9"), D("0.005"))}
BOTH = KOH | {"NaOH": Lye(D("0.98"))}
TERMS = Terms(D("0.03"), water_per_alkali=D("2.2"), loss=D("0.03"))
# Nobody said the step of the balance: the milligram of the book counts.
STEP = D("0.001")
# Moles of alkali that 1,000 g of these oils take; KOH is 56.1053 g/mol and NaOH 39.997
# (CIAAW atomic weights).
DEMAND = (D(750) * 188 + D(250) * 242) / 1000 / D("56.1053")


def refusal(make):
    with pytest.raises(Refused) as refused:
        make()
    return str(refused.value)


@given(
    superfat=decimals("-0.05", "0.2", 4),
    koh=decimals("0", "1", 3),
    purity=decimals("0.8", "0.95", 3),
    water=decimals("1.5", "4", 2),
    loss=decimals("0", "0.1", 3),
    citric=decimals("0", "0.03", 4),
    glycerin=decimals("0", "0.1", 4),
    oils=decimals("100", "50000", 1),
)
def test_every_gram_that_goes_in_is_paste_or_steam(
    superfat, koh, purity, water, loss, citric, glycerin, oils
):
    lines = [*OILS]
    if citric:
        lines.append(Line("citric acid", citric, "lye", acid="citric", purity=D(1)))
    if glycerin:
        lines.append(Line("glycerin", glycerin, "lye"))
    terms = Terms(superfat, koh, superfat < 0, water_per_alkali=water, loss=loss)
    lyes = {"KOH": Lye(purity), "NaOH": Lye(D("0.98"), D("0.005"))}
    cooked = cook(lines, terms, lyes, oils)
    result = cooked.result
    with localcontext(EXACT):
        went_in = sum(line.grams for line in cooked.lines)
        went_in += result.koh_weighed + result.naoh_weighed + result.lye_water
        came_out = (
            result.soap_potassium
            + result.soap_sodium
            + result.glycerol
            + result.leftover_oil
            + result.unsaponified
            + result.acid_salts
            + result.carbonate
            + result.free_koh
            + result.free_naoh
            + result.water_total
            + glycerin * oils
        )
        # Steam as far as there is water; beyond it the loss is paste.
        assert abs(went_in * (1 - loss) - cooked.paste) < D("0.001")
        lost = went_in - cooked.paste
        steam = min(lost, result.water_total)
        assert abs(steam - cooked.boils_off) < D("0.001")
        assert abs(went_in - came_out) < D("0.001")


@given(superfat=decimals("0", "0.2", 3), koh=decimals("0", "1", 2))
def test_the_range_lies_around_the_superfat_that_was_set(superfat, koh):
    range_ = cook(OILS, replace(TERMS, superfat=superfat, koh_share=koh), BOTH, D(1000))
    found = range_.superfat
    a_step_of_each = STEP * (D("0.9") / D("56.1053") + D("0.98") / D("39.997"))
    assert found.central - superfat + D("1e-40") >= 0
    assert found.central - superfat < a_step_of_each / DEMAND
    assert found.ends.low <= found.likely.low <= found.central
    assert found.central <= found.likely.high <= found.ends.high


def test_another_liquid_takes_the_place_of_as_much_lye_water():
    plain = cook(OILS, TERMS, KOH, D(1000))
    wet = cook([*OILS, Line("aloe juice", D("0.1"), "lye")], TERMS, KOH, D(1000))
    assert plain.result.lye_water - wet.result.lye_water == 100
    assert wet.paste == plain.paste
    assert wet.result.koh_weighed == plain.result.koh_weighed


def test_a_lye_is_as_strong_as_what_stands_in_its_jug():
    """Pure alkali over everything that was poured together: flakes, water, glycerin."""
    terms = replace(TERMS, water_per_alkali=None, lye_strength=D("0.25"))
    glycerin = Line("glycerin", D("0.1"), "lye")
    for more, poured in (([], 0), ([glycerin], 100)):
        cooked = cook([*OILS, *more], terms, KOH, D(1000))
        jug = cooked.result.koh_weighed + cooked.result.lye_water + poured
        assert abs(jug * cooked.lye_strength - cooked.result.koh_pure) < D("1e-12")
        assert round(cooked.lye_strength, 4) == D("0.25")


def test_more_liquid_than_the_lye_takes_is_refused():
    said = refusal(
        lambda: cook([*OILS, Line("aloe juice", D("0.9"), "lye")], TERMS, KOH, D(1000))
    )
    assert "Take less of the other liquid" in said


def test_an_acid_in_the_lye_gets_alkali_and_a_late_one_does_not():
    acid = Line("citric acid", D("0.01"), "lye", acid="citric", purity=D(1))
    plain = cook(OILS, TERMS, KOH, D(1000)).result.koh_pure
    # 3 x 56.1053 / 192.123 g KOH to each gram, from the atomic weights; each side is
    # a step of the balance too little at most.
    in_the_lye = cook([*OILS, acid], TERMS, KOH, D(1000))
    more = in_the_lye.result.koh_pure - plain
    assert abs(more - D("8.76084")) < STEP * D("0.9")
    late = cook([*OILS, replace(acid, goes_in="late")], TERMS, KOH, D(1000))
    assert late.result.koh_pure == plain
    assert "turns soap back into fatty acid" in late.remarks[-1]


def test_an_acid_of_unknown_purity_is_refused():
    acid = Line("citric acid", D("0.01"), "lye", acid="citric")
    assert "none is assumed" in refusal(
        lambda: cook([*OILS, acid], TERMS, KOH, D(1000))
    )


def test_below_zero_only_by_intent():
    below = replace(TERMS, superfat=D("-0.03"))
    assert "declare the lye excess" in refusal(lambda: cook(OILS, below, KOH, D(1000)))
    declared = cook(OILS, replace(below, lye_excess=True), KOH, D(1000))
    assert declared.superfat.grade == "intended"
    assert declared.result.free_koh > 0
    assert "not below zero" in refusal(
        lambda: cook(OILS, replace(TERMS, lye_excess=True), KOH, D(1000))
    )


def test_a_floor_is_judged_at_the_upper_end_of_the_real_purity():
    """85 % at the least, 0.5 % carbonate: up to 99.5 % may be hydroxide."""
    floor = {"KOH": Lye(D("0.85"), D("0.005"), basis="minimum")}
    found = cook(OILS, TERMS, floor, D(1000)).superfat
    assert found.grade == "may be excess"
    worst = 1 - D("0.97") * D("0.995") / D("0.85")
    assert found.likely.low <= worst < 0
    stated = cook(OILS, TERMS, {"KOH": Lye(D("0.85"), D("0.005"))}, D(1000)).superfat
    assert stated.grade == "in order"
    assert any("purity" in sentence for sentence in found.clears)


def test_both_alkalis_by_mole_and_what_it_would_be_by_weight():
    """0.90 by mole is 0.926604 by weight: first principles, CIAAW atomic weights."""
    cooked = cook(OILS, replace(TERMS, koh_share=D("0.9")), BOTH, D(1000))
    assert abs(cooked.koh_by_weight - D("0.926604")) < D("0.000001")
    pure = cooked.result.koh_pure / (cooked.result.koh_pure + cooked.result.naoh_pure)
    # Either alkali is weighed a step too little at most.
    whole = cooked.result.koh_pure + cooked.result.naoh_pure
    assert abs(pure - cooked.koh_by_weight) < STEP / whole


def test_a_lye_by_its_strength():
    terms = replace(TERMS, water_per_alkali=None, lye_strength=D("0.25"))
    cooked = cook(OILS, terms, KOH, D(1000))
    # The water is rounded half up, so the whole lye is half a step off at most.
    whole = cooked.result.koh_weighed + cooked.result.lye_water
    assert abs(cooked.lye_strength - D("0.25")) <= D("0.25") * STEP / 2 / whole
    assert "above the" in refusal(
        lambda: cook(OILS, replace(terms, lye_strength=D("0.95")), KOH, D(1000))
    )


def test_a_lye_stronger_than_its_solubility_is_said():
    cooked = cook(OILS, replace(TERMS, water_per_alkali=D("0.5")), KOH, D(1000))
    assert any("part of it stays solid" in remark for remark in cooked.remarks)


def test_more_steam_than_there_is_water_is_said_and_the_rest_is_paste():
    cooked = cook(OILS, replace(TERMS, loss=D("0.6")), KOH, D(1000))
    assert any("Lower the expected loss" in said for said in cooked.remarks)
    assert cooked.boils_off == cooked.result.water_in_paste
    dry = cooked.result.paste - cooked.boils_off
    soap = cooked.result.soap_potassium
    assert abs(cooked.soap_content - soap / dry) < D("1e-12")


def test_a_loss_that_its_water_covers_goes_up_as_steam_without_a_word():
    cooked = cook(OILS, TERMS, KOH, D(1000))
    assert not any("Lower the expected loss" in said for said in cooked.remarks)
    assert cooked.boils_off == cooked.result.paste * D("0.03")


@pytest.mark.parametrize("purity", [D(90), None])
def test_ninety_for_nine_tenths_is_asked_about(purity):
    lye = {"KOH": Lye(purity)} if purity else {}
    said = refusal(lambda: cook(OILS, TERMS, lye, D(1000)))
    assert ("did you mean 0.9" in said) if purity else ("none is assumed" in said)


@given(st.lists(decimals("0.1", "9999", 1), min_size=1, max_size=30))
def test_weights_become_shares_that_add_up_to_one(weights):
    shares = shares_of_weights(weights)
    assert sum(shares) == 1
    whole = sum(weights)
    pairs = zip(shares, weights, strict=True)
    assert all(abs(share - weight / whole) < D("2e-8") for share, weight in pairs)


def test_one_oil_takes_the_rest():
    assert the_rest([D("0.7"), None, D("0.1")]) == [D("0.7"), D("0.2"), D("0.1")]
    assert "at most" in refusal(lambda: the_rest([None, None]))
    assert "nothing is left" in refusal(lambda: the_rest([D(1), None]))
    assert "2 % less than the whole" in refusal(lambda: the_rest([D("0.98")]))
    assert "5 % more than the whole" in refusal(lambda: the_rest([D("1.05")]))


class TestSharedOut:
    OLIVE, PALM = Typed("olive", True, D("0.6")), Typed("palm", True)
    SALT = Typed("salt", False, grams=D(12))

    def test_beside_oils_in_percent_a_weight_is_reckoned_to_the_oils_asked_for(self):
        lines = [self.OLIVE, self.SALT, self.PALM]
        assert shared_out(lines, D(800)) == ([D("0.6"), D("0.015"), D("0.4")], None)

    def test_oils_by_weight_are_the_whole_whatever_was_asked_for(self):
        lines = [self.SALT, replace(self.PALM, grams=D(300)), Typed("rice", True)]
        lines[2] = replace(lines[2], grams=D(100))
        shares = [D("0.03"), D("0.75"), D("0.25")]
        assert shared_out(lines, D(800)) == (shares, D(400))

    @pytest.mark.parametrize(
        ("lines", "says"),
        [
            ([OLIVE, PALM, OLIVE], "olive stands twice"),
            ([SALT], "Add at least one oil"),
            ([OLIVE, replace(PALM, grams=D(5))], "every oil by weight"),
            ([PALM, replace(SALT, grams=None)], "salt: write its share of the oils"),
        ],
    )
    def test_what_cannot_be_shared_out_is_said(self, lines, says):
        assert says in refusal(lambda: shared_out(lines, D(1000)))


def test_a_lye_that_stands_ready_is_set_by_its_strength():
    stock = {"KOH": Lye(D("0.35"), source="LYE-1")}
    assert (
        "Set the strength of the lye" in cook(OILS, TERMS, stock, D(1000)).remarks[-1]
    )
    by_strength = replace(TERMS, water_per_alkali=None, lye_strength=D("0.28"))
    cooked = cook(OILS, by_strength, stock, D(1000))
    assert not cooked.remarks
    # Pure KOH / 0.28 is the whole lye; the stock brings pure / 0.35 of it.
    pure = cooked.result.koh_pure
    more = pure / D("0.28") - pure / D("0.35")
    assert abs(cooked.result.lye_water - more) <= STEP / 2
