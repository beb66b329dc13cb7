"""Eighty-nine worked cases, each answered by the domain.

Cases of first principles were computed by two routes: exact decimals from the stated
conventions, and mean molar masses with an independent molar-mass library.
"""

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal as D
from decimal import localcontext
from functools import partial

import pytest

from production.chemistry.domain.constants import EXACT
from production.chemistry.domain.titration import as_other
from tests.published.worked_answers import (
    HIGH,
    LOW,
    at_end,
    batch,
    carbonate_made,
    caustic,
    citrate,
    citric_dose,
    closure,
    cook,
    fat_left,
    fatty_matter,
    figure,
    for_oleic,
    free_oleic,
    freed,
    glycerol_factor,
    in_a_litre,
    in_three,
    iodine_of,
    limit_as_koh,
    lye,
    mass_out,
    mass_share,
    mean_acid,
    mean_soap,
    mole_share,
    neutralisation,
    oil,
    potash,
    poured_in,
    salt,
    salted,
    saturated,
    soap_of_paste,
    spoiled,
    sv_just_saponified,
    sv_of,
    takes,
    to_a_quarter,
    triolein,
    true_superfat,
    two_alkalis,
    water_to_a_quarter,
)

FIRST = "first principles, CIAAW conventional atomic weights"
CONVENTIONS = "first principles, the conventions of the saponification module"
GREEN_SOAP = "USP28-NF23, green soap"
SOYA_OR_MAIZE = GREEN_SOAP + "; CXS 210: soya 189 to 195, maize 187 to 195"
USP_KOH = "USP-NF, potassium hydroxide, and molar masses"
ENCYCLOPEDIA = "general encyclopedia entry potassium hydroxide"
TABLES = "two published solubility tables"
HANDBOOK = "Poradnik fizykochemiczny, WNT 1974"
SNI = "SNI 06-3532-1994 (0.1 % as NaOH) and a study quoting 0.14 % as KOH"


@dataclass(frozen=True)
class Case:
    """What is asked, our answer, and what it has to be within ``off``."""

    number: int
    what: str
    answer: Callable[[], D]
    expected: str
    off: str
    source: str = FIRST


TRIGLYCERIDES = {
    1: ("C18:1", "190.09"),
    2: ("C18:0", "188.80"),
    3: ("C16:0", "208.48"),
    4: ("C14:0", "232.75"),
    5: ("C12:0", "263.40"),
    6: ("C18:2", "191.40"),
    7: ("C18:3", "192.72"),
    8: ("C18:1-OH", "180.32"),
}
ACIDS = {
    9: ("caprylic", "C8:0", "389.04"),
    10: ("lauric", "C12:0", "280.08"),
    11: ("myristic", "C14:0", "245.67"),
    12: ("palmitic", "C16:0", "218.79"),
    13: ("stearic", "C18:0", "197.22"),
    14: ("oleic", "C18:1", "198.63"),
    15: ("linoleic", "C18:2", "200.05"),
    16: ("ricinoleic", "C18:1-OH", "187.98"),
    17: ("erucic", "C22:1", "165.71"),
}
IODINE = {
    18: ("C18:1", "85.99"),
    19: ("C18:2", "173.17"),
    20: ("C18:3", "261.55"),
}
# Grams of alkali for so many grams of an acid of such purity.
ALKALI_FOR = {
    31: ("KOH", "citric", "1", "1", "0.876084"),
    32: ("KOH", "citric monohydrate", "1", "1", "0.800978"),
    33: ("NaOH", "citric", "1", "1", "0.624549"),
    34: ("NaOH", "citric monohydrate", "1", "1", "0.571007"),
    35: ("KOH", "lactic", "1", "1", "0.622852"),
    36: ("KOH", "lactic", "1", "0.88", "0.548110"),
    37: ("KOH", "acetic", "1", "1", "0.934279"),
    38: ("KOH", "acetic", "100", "0.05", "4.6714"),
}
# One figure of one cook, in grams: 1 kg of pure triolein, 1 kg of a fat of SV 190.
COOKS = {
    22: ("koh_pure", lambda: cook(triolein()), "190.090"),
    23: ("naoh_pure", lambda: cook(triolein(), koh_share=D(0)), "135.513"),
    24: ("glycerol", lambda: cook(triolein()), "104.008"),
    25: ("soap_potassium", lambda: cook(triolein()), "1086.082"),
    26: ("soap_sodium", lambda: cook(triolein(), koh_share=D(0)), "1031.505"),
    30: ("glycerol", lambda: cook(oil()), "103.958"),
    40: ("koh_weighed", lambda: cook(oil(), koh_purity=D("0.90")), "211.111"),
    41: ("koh_weighed", lambda: cook(oil(), koh_purity=D("0.85")), "223.529"),
    47: ("koh_pure", lambda: two_alkalis(D("0.90")), "171.000"),
    48: ("naoh_pure", lambda: two_alkalis(D("0.90")), "13.545"),
    49: ("koh_pure", lambda: two_alkalis(mole_share("0.90")), "164.380"),
    50: ("naoh_pure", lambda: two_alkalis(mole_share("0.90")), "18.264"),
    55: ("water_formed", lambda: cook(oil(acid_value=D(10))), "3.2109"),
}
# One figure of the worked batch of the conventions, in grams.
BATCH = {
    73: ("koh_weighed", "223.456"),
    74: ("naoh_weighed", "7.700"),
    75: ("glycerol", "111.606"),
    76: ("soap_potassium", "1012.064"),
    77: ("soap_sodium", "50.328"),
    78: ("leftover_oil", "20.000"),
    79: ("acid_salts", "12.594"),
    80: ("water_total", "353.862"),
    83: ("paste", "1524.156"),
}

CASES = [
    *(
        Case(n, f"saponification value, all {acid}", partial(sv_of, acid), sv, "0.05")
        for n, (acid, sv) in TRIGLYCERIDES.items()
    ),
    *(
        Case(n, f"value of {name} acid", partial(neutralisation, acid), nv, "0.05")
        for n, (name, acid, nv) in ACIDS.items()
    ),
    *(
        Case(n, f"iodine value, all {acid}", partial(iodine_of, acid), iv, "0.05")
        for n, (acid, iv) in IODINE.items()
    ),
    *(
        Case(n, " for ".join(asked[:2]), partial(takes, *asked), grams, "1e-4")
        for n, (*asked, grams) in ALKALI_FOR.items()
    ),
    *(
        Case(n, name, partial(figure, name, made), grams, "0.001")
        for n, (name, made, grams) in COOKS.items()
    ),
    *(
        Case(n, name, partial(figure, name, batch), grams, "0.002", CONVENTIONS)
        for n, (name, grams) in BATCH.items()
    ),
    Case(21, "KOH to NaOH", lambda: as_other(D(1), "NaOH", "KOH"), "1.402746", "1e-5"),
    Case(27, "mass in less mass out of triolein", closure, "0.000", "0.001"),
    Case(28, "its fatty acids, g", fatty_matter, "957.029", "0.005"),
    Case(29, "glycerol, %, by ester value", glycerol_factor, "0.054715", "1e-5"),
    Case(39, "citrate of a gram of citric acid", citrate, "1.594780", "1e-4"),
    Case(42, "caustic in 85.0 % total alkali", caustic, "82.158", "0.005", USP_KOH),
    Case(43, "KOH that 1 g CO2 takes", spoiled, "2.54972", "5e-4"),
    Case(44, "carbonate it makes", carbonate_made, "3.14037", "5e-4"),
    Case(45, "by mass where 0.90 is by mole", mass_share, "0.926604", "1e-5"),
    Case(46, "by mole, 0.90 by mass", lambda: mole_share("0.90"), "0.865156", "1e-5"),
    Case(51, "g/mol of soap, SV 190", lambda: mean_soap("190"), "320.698", "0.005"),
    Case(52, "g/mol of soap, SV 255", lambda: mean_soap("255"), "245.428", "0.005"),
    Case(53, "g/mol of its acids", lambda: mean_acid("255"), "207.338", "0.005"),
    Case(54, "% oleic, acid value 1", free_oleic, "0.5035", "0.0005"),
    Case(56, "% soap, 60 % paste in 3 parts of water", in_three, "15.000", "0.001"),
    Case(57, "water, 1 kg to 25 %", lambda: to_a_quarter("1000"), "1400", "0.001"),
    Case(58, "parts of water for it", lambda: to_a_quarter("1"), "1.400", "0.001"),
    Case(59, "salt for 1 kg of water, 20 % brine", salt, "250.000", "0.001"),
    Case(60, "salt in a litre of it, 20 degC", in_a_litre, "229.56", "0.2", HANDBOOK),
    Case(61, "g of it for 2 % salt in 100 g of soap", salted, "10.000", "0.001"),
    Case(62, "% lye of 200 g KOH 90 %, 400 g water", lye, "30.000", "0.001"),
    Case(63, "% saturated", lambda: saturated("KOH"), "52.83", "0.1", ENCYCLOPEDIA),
    Case(64, "% saturated", lambda: saturated("NaOH"), "52.15", "0.1", TABLES),
    Case(65, "0.10 % as NaOH, as KOH", limit_as_koh, "0.1403", "0.001", SNI),
    Case(66, "pure KOH in 91.7 g of 85 %", potash, "77.945", "0.005", GREEN_SOAP),
    Case(67, "KOH for its oleic acid", for_oleic, "3.973", "0.005", GREEN_SOAP),
    Case(68, "the oil it fits", sv_just_saponified, "194.66", "0.05", SOYA_OR_MAIZE),
    Case(69, "% fat left, 5 % less KOH", lambda: fat_left("180.5"), "5.000", "0.001"),
    Case(70, "% left, 5 % later", lambda: fat_left("190", "50"), "4.762", "0.001"),
    Case(71, "citric acid for 3 % too much KOH", citric_dose, "6.506", "0.005"),
    Case(72, "acid that 1 g of citric acid frees", freed, "4.4107", "0.001"),
    Case(81, "mass in", lambda: poured_in().total, "1569.156", "0.002", CONVENTIONS),
    Case(82, "mass out", mass_out, "1569.156", "0.002", CONVENTIONS),
    Case(84, "% soap in the paste", soap_of_paste, "69.704", "0.002", CONVENTIONS),
    Case(85, "water to 25 %", water_to_a_quarter, "2725.411", "0.01", CONVENTIONS),
    Case(86, "KOH, low ends", lambda: at_end(LOW).koh_pure, "202.400", "0.001"),
    Case(87, "KOH, high ends", lambda: at_end(HIGH).koh_pure, "215.800", "0.001"),
    Case(88, "% at the low end", lambda: 100 * true_superfat().low, "-0.115", "0.001"),
    Case(89, "% at the high end", lambda: 100 * true_superfat().high, "6.101", "0.001"),
]


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"case {case.number}")
def test_the_domain_answers(case):
    with localcontext(EXACT):
        found = case.answer()
        assert abs(found - D(case.expected)) <= D(case.off), case.what


def test_all_eighty_nine_cases_are_here_once():
    numbers = [case.number for case in CASES]
    assert sorted(numbers) == list(range(1, 90))


def test_each_case_says_what_it_asks_and_where_it_stands():
    for case in CASES:
        assert case.what
        assert case.source
