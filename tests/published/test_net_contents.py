"""Declared contents and heights of letters against the rules: clause and standing.

Standing: ``verified`` read in the law or an official copy, ``secondary`` in an
authority's or publisher's summary, ``recalled`` from memory. Figures that follow from
a rule were worked out by hand.
"""

from datetime import date
from decimal import Decimal

import pytest

from labels.domain.durability import Keeping, last_day, mark, month_form
from labels.domain.elements import reaches_us
from labels.domain.heights import SQUARE_INCH, panel
from labels.domain.layout import size_for
from labels.domain.net_contents import (
    FLUID_OUNCE,
    read_contents,
)
from labels.reads.rules import rule_set
from production.quantities.domain.refusal import Refused

INCH = Decimal("25.4")


def least(code, contents, shown):
    rules = rule_set(code)
    return rules.heights(contents, shown, rules.clauses)


def printed(typed, rules="us"):
    return str(rule_set(rules).contents(read_contents(typed)))


@pytest.mark.parametrize(
    ("typed", "statement", "clause", "standing"),
    [
        # 15 USC 1453(a)(2): both systems, verified. The cut and the parenthesis of
        # 21 CFR 701.13(b),(j): recalled.
        ("8 fl oz", "8 fl oz (236 mL)", "701.13(b),(j)", "recalled"),
        ("10 fl oz", "10 fl oz (295 mL)", "701.13(b),(j)", "recalled"),
        ("16 fl oz", "16 fl oz (1 pt) 473 mL", "701.13(j)", "recalled"),
        ("32 fl oz", "32 fl oz (1 qt) 946 mL", "701.13(j)", "recalled"),
        ("250 mL", "8.45 fl oz (250 mL)", "701.13(d),(j)", "recalled"),
        ("300 mL", "10.1 fl oz (300 mL)", "701.13(d),(j)", "recalled"),
        ("500 mL", "16.9 fl oz (1 pt 0.9 fl oz) 500 mL", "701.13(d),(j)", "recalled"),
        # "56 fl oz (1 qt 1 1/2 pt)" is accepted too; "(1 qt 24 fl oz)" is not.
        ("56 fl oz", "56 fl oz (1 qt 1 pt 8 fl oz) 1.65 L", "701.13(j)(1)", "recalled"),
        # A viscous paste is declared by weight.
        ("24 oz", "Net Wt 24 oz (1 lb 8 oz) 680 g", "701.13(a),(j)", "recalled"),
        ("680.4 g", "Net Wt 24 oz (1 lb 8 oz) 680 g", "701.13(a),(j)", "recalled"),
        ("8 oz", "Net Wt 8 oz (226 g)", "701.13(a),(j)", "recalled"),
    ],
)
def test_a_us_label_declares_in_both_systems(typed, statement, clause, standing):
    assert printed(typed) == statement


@pytest.mark.parametrize("typed", ["Giant 8 fl oz", "8 fl oz full", "8 jumbo fl oz"])
def test_no_word_may_qualify_the_unit(typed):
    # 15 USC 1453(b), verified; 21 CFR 701.13(f).
    with pytest.raises(Refused):
        read_contents(typed)


@pytest.mark.parametrize(
    ("fl_oz", "ml_exact", "ml_declared"),
    [
        # 16 CFR 500.19(b): three digits, two below 100, verified; that a figure is cut
        # and never rounded up: a NIST note to packers, secondary.
        ("1.7", "50.275", "50"),
        ("2", "59.147", "59"),
        ("3.4", "100.550", "100"),
        ("4", "118.294", "118"),
        ("8", "236.588", "236"),
        ("8.5", "251.375", "251"),
        ("12", "354.882", "354"),
        ("16", "473.176", "473"),
        ("32", "946.353", "946"),
    ],
)
def test_millilitres_are_cut_never_rounded_up(fl_oz, ml_exact, ml_declared):
    declared = read_contents(f"{fl_oz} fl oz")
    assert round(declared.amount, 3) == Decimal(ml_exact)
    assert f"{ml_declared} mL" in printed(f"{fl_oz} fl oz")


@pytest.mark.parametrize(
    ("ml", "exact", "declared"),
    [
        # The same; at most two decimals is the rule of one state, secondary.
        ("50", "1.6907", "1.69"),
        ("100", "3.3814", "3.38"),
        ("118", "3.9901", "3.99"),
        ("250", "8.4535", "8.45"),
        ("355", "12.0040", "12"),
        ("500", "16.9070", "16.9"),
    ],
)
def test_fluid_ounces_are_cut_to_three_figures_and_two_decimals(ml, exact, declared):
    assert round(Decimal(ml) / FLUID_OUNCE, 4) == Decimal(exact)
    assert printed(f"{ml} mL").startswith(f"{declared} fl oz")


def test_the_largest_of_the_printed_figures_binds():
    # NIST: of several declarations the largest is enforced. Secondary. A mean fill of
    # 236.5 mL is short of 8 fl oz, and 118 mL is only 3.99 fl oz.
    assert rule_set("us").contents(read_contents("8 fl oz")).binding == Decimal(
        "236.5882365"
    )
    assert rule_set("us").contents(read_contents("4 fl oz")).binding == Decimal(
        "118.29411825"
    )
    metric = rule_set("us").contents(read_contents("118 mL"))
    assert metric.parts == ("3.99 fl oz", "(118 mL)")
    assert metric.binding == 118
    # "8 fl oz (237 mL)" would oblige to 237 mL: it is never printed.
    assert "237" not in printed("8 fl oz")


@pytest.mark.parametrize(
    ("typed", "statement"),
    [
        # 16 CFR 500.19(a): 1 fl oz = 29.5735 mL, 1 oz = 28.3495 g "and none others",
        # verified. 25.75 oz are 730.0002 g by the exact factor and 729.9996 g by that
        # one; the less is printed. What was typed stays as it is.
        ("25.75 oz", "Net Wt 25.7 oz (1 lb 9.7 oz) 729 g"),
        ("103 oz", "Net Wt 6 lb 7 oz (2.91 kg)"),
        ("8 fl oz", "8 fl oz (236 mL)"),
    ],
)
def test_neither_the_exact_factor_nor_that_of_the_trade_rule_is_exceeded(
    typed, statement
):
    assert printed(typed) == statement


@pytest.mark.parametrize(
    ("typed", "statement"),
    [
        # C.R.C., c. 417, s. 25 to 27: mL below 1,000, L from there on. Verified.
        ("250 mL", "250 mL"),
        ("500 mL", "500 mL"),
        ("950 mL", "950 mL"),
        ("1000 mL", "1 L"),
        ("1500 mL", "1.5 L"),
    ],
)
@pytest.mark.parametrize("rules", ["ca", "eu"])
def test_canada_and_the_eu_declare_in_metric(typed, statement, rules):
    assert printed(typed, rules) == statement


@pytest.mark.parametrize(
    ("nominal", "height"),
    [
        # Directive 76/211/EEC Annex I 3.1; UK SI 2006/659 reg 8(3)(d). Verified.
        (50, 2),
        (100, 3),
        (150, 3),
        (200, 3),
        (250, 4),
        (300, 4),
        (375, 4),
        (500, 4),
        (1000, 4),
        (1500, 6),
    ],
)
def test_eu_figures_are_as_high_as_the_contents_ask(nominal, height):
    contents = rule_set("eu").contents(read_contents(f"{nominal} mL"))
    shown = panel("label", Decimal(90), Decimal(60))
    assert least("eu", contents, shown).net_figures == height


@pytest.mark.parametrize(
    ("shape", "high", "across", "area", "sixteenths"),
    [
        # 21 CFR 701.10 in its twin 16 CFR 500.21(a): 40 % of a round wall, verified;
        # the steps of 701.13(i): recalled. Inches.
        ("flat", "2.5", "2.0", "5.0", 1),
        ("round", "5.5", "8.0", "17.6", 2),
        ("round", "8.5", "10.5", "35.7", 3),
        ("flat", "10.0", "10.0", "100.0", 3),
        ("flat", "11.0", "9.5", "104.5", 4),
    ],
)
def test_us_letters_are_as_high_as_the_panel_asks(
    shape, high, across, area, sixteenths
):
    shown = panel(shape, Decimal(high) * INCH, Decimal(across) * INCH)
    assert shown.area / SQUARE_INCH == Decimal(area)
    assert least("us", None, shown).net_letters == sixteenths * INCH / 16


def test_a_round_bottle_of_140_by_65_mm_asks_for_an_eighth_of_an_inch():
    # The same clauses; the circumference of 65 mm is 204.2 mm.
    shown = panel("round", Decimal(140), Decimal("204.2"))
    assert round(shown.area / SQUARE_INCH, 2) == Decimal("17.72")
    assert least("us", None, shown).net_figures == Decimal("3.175")


@pytest.mark.parametrize(
    ("area", "figures"),
    # C.R.C., c. 417, s. 14(2),(4): other steps than the US. Verified. Square inches.
    [("17.6", "3.2"), ("35.7", "3.2"), ("42.0", "6.4")],
)
def test_canadian_figures_have_their_own_steps(area, figures):
    shown = panel("flat", Decimal(area) * SQUARE_INCH, Decimal(1))
    found = least("ca", None, shown)
    assert found.net_figures == Decimal(figures)
    assert found.net_letters == found.text == Decimal("1.6")


@pytest.mark.parametrize(("surface", "part"), [("10", 32), ("12", 16)])
def test_us_ingredients_may_be_small_where_under_12_square_inches_bear_a_label(
    surface, part
):
    # 21 CFR 701.3(b),(p), secondary.
    shown = panel("round", Decimal(surface) * SQUARE_INCH, Decimal(1))
    assert least("us", None, shown).ingredients == INCH / part
    assert least("us", None, shown).warnings == INCH / 16  # 21 CFR 740.2, verified


def test_the_contents_stand_low_on_a_panel_over_5_square_inches():
    # 21 CFR 701.13(f): the 30 % secondary, the 5 sq in recalled.
    small = panel("flat", Decimal("2.5") * INCH, Decimal("1.8") * INCH)
    large = panel("flat", Decimal("5.5") * INCH, Decimal("3.2") * INCH)
    assert least("us", None, small).within is None
    assert least("us", None, large).within == Decimal("0.3")


@pytest.mark.parametrize(
    ("reach", "points"),
    # 21 CFR 701.13(h)(2): the lower case o, or capitals alone, reach 1/8 in. Recalled.
    [(520, "17.31"), (700, "12.86")],
)
def test_the_size_of_type_follows_from_the_letters_that_must_reach_it(reach, points):
    size = size_for(INCH / 8, reach)
    asked = Decimal(points) * INCH / 72
    assert asked <= size + Decimal("0.002") <= asked + Decimal("0.03")


@pytest.mark.parametrize(
    ("months", "once", "shown"),
    [
        # Regulation (EC) 1223/2009 Art 19(1)(c), secondary.
        (24, False, "date"),
        (30, False, "date"),
        (36, False, "jar"),
        (36, True, "none"),
        (None, False, "unknown"),
    ],
)
def test_how_long_it_keeps_decides_between_date_and_jar(months, once, shown):
    assert mark(Keeping(months=months, once=once)) == shown


def test_a_month_is_promised_to_its_end_so_a_day_within_it_rounds_down():
    # The form: Art 19(1)(c), secondary; rounding down is practice, recalled.
    day = last_day(Keeping(made_on=date(2026, 3, 15), months=24))
    assert day == date(2028, 3, 15)
    assert month_form(day) == "02/2028"
    assert month_form(date(2028, 3, 31)) == "03/2028"


@pytest.mark.parametrize(
    ("contact", "country", "enough"),
    [
        # 21 USC 364e(a): a domestic address or phone, or a way on line. Verified.
        ("12 Mill Lane, Leeds LS1 4AP, UK", "GB", False),
        ("0113 496 0000", "GB", False),
        ("Hauptstraße 1, 10115 Berlin", "GB", False),
        ("example.com/report", "GB", True),
        ("care@example.org", "GB", True),
        ("207-555-0142", "GB", True),
        ("9 Wharf Road\nMarrow Point, ME 04999", "US", True),
    ],
)
def test_reactions_can_be_reported_from_the_us(contact, country, enough):
    assert reaches_us(contact, country) is enough
