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
from labels.domain.net_contents import (
    FLUID_OUNCE,
    read_contents,
)
from labels.reads.rules import rule_set
from production.quantities.domain.refusal import Refused


def case(name, *values):
    return pytest.param(*values, id=name)


def printed(typed, rules="us"):
    return str(rule_set(rules).contents(read_contents(typed)))


@pytest.mark.parametrize(
    ("typed", "statement", "clause", "standing"),
    [
        # 15 USC 1453(a)(2), both systems; 21 CFR 701.13(b), (d), (j): verified. That
        # the converted figure is cut is practice, from memory.
        case("US-NET-17", "8 fl oz", "8 fl oz (236 mL)", "701.13(b),(j)", "verified"),
        case("US-NET-18", "10 fl oz", "10 fl oz (295 mL)", "701.13(b),(j)", "verified"),
        case(
            "US-NET-19", "16 fl oz", "16 fl oz (1 pt) 473 mL", "701.13(j)", "verified"
        ),
        case(
            "US-NET-20", "32 fl oz", "32 fl oz (1 qt) 946 mL", "701.13(j)", "verified"
        ),
        case("US-NET-21", "250 mL", "8.45 fl oz (250 mL)", "701.13(d),(j)", "verified"),
        case("US-NET-22", "300 mL", "10.1 fl oz (300 mL)", "701.13(d),(j)", "verified"),
        case(
            "US-NET-23",
            "500 mL",
            "16.9 fl oz (1 pt 0.9 fl oz) 500 mL",
            "701.13(d),(j)",
            "verified",
        ),
        # "56 fl oz (1 qt 1 1/2 pt)" is accepted too; "(1 qt 24 fl oz)" is not.
        case(
            "US-NET-24",
            "56 fl oz",
            "56 fl oz (1 qt 1 pt 8 fl oz) 1.65 L",
            "701.13(j)(1)",
            "verified",
        ),
        # A viscous paste is declared by weight.
        case(
            "US-NET-25",
            "24 oz",
            "Net Wt 24 oz (1 lb 8 oz) 680 g",
            "701.13(a),(j)",
            "verified",
        ),
        ("680.4 g", "Net Wt 24 oz (1 lb 8 oz) 680 g", "701.13(a),(j)", "verified"),
        ("8 oz", "Net Wt 8 oz (226 g)", "701.13(a),(j)", "verified"),
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
        case("N19", "1.7", "50.275", "50"),
        case("N19", "2", "59.147", "59"),
        case("N19", "3.4", "100.550", "100"),
        case("N19", "4", "118.294", "118"),
        case("N19", "8", "236.588", "236"),
        case("N19", "8.5", "251.375", "251"),
        case("N19", "12", "354.882", "354"),
        case("N19", "16", "473.176", "473"),
        case("N19", "32", "946.353", "946"),
    ],
)
def test_millilitres_are_cut_never_rounded_up(fl_oz, ml_exact, ml_declared):
    declared = read_contents(f"{fl_oz} fl oz")
    assert round(declared.amount, 3) == Decimal(ml_exact)
    assert f"{ml_declared} mL" in printed(f"{fl_oz} fl oz")


@pytest.mark.parametrize(
    ("ml", "exact", "declared"),
    [
        # The same; at most two decimals: 21 CFR 701.13(d), verified.
        case("N20", "50", "1.6907", "1.69"),
        case("N20", "100", "3.3814", "3.38"),
        case("N20", "118", "3.9901", "3.99"),
        case("N20", "250", "8.4535", "8.45"),
        case("N20", "355", "12.0040", "12"),
        case("N20", "500", "16.9070", "16.9"),
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
    ("months", "once", "shown"),
    [
        # Regulation (EC) 1223/2009 Art 19(1)(c), secondary.
        pytest.param(24, False, "date", id="EU-DUR-69"),
        pytest.param(30, False, "date", id="EU-DUR-70"),
        pytest.param(36, False, "jar", id="EU-DUR-71"),
        pytest.param(36, True, "none", id="EU-DUR-72"),
        pytest.param(None, False, "unknown", id="not said"),
    ],
)
def test_how_long_it_keeps_decides_between_date_and_jar(months, once, shown):
    assert mark(Keeping(months=months, once=once)) == shown


def test_a_month_is_promised_to_its_end_so_a_day_within_it_rounds_down():
    # The form: Art 19(1)(c), secondary; rounding down is practice, recalled.
    day = last_day(Keeping(made_on=date(2026, 3, 15), months=24))
    assert day == date(2028, 3, 15)
    assert month_form(day) == "02/2028"  # EU-DUR-73
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


@pytest.mark.parametrize(
    ("typed", "exact"),
    [
        # Definitions: the exact factors. UK fluid ounces are not those of the US.
        case("N18", "1 fl oz", "29.5735295625"),
        case("N18", "4 fl oz", "118.29411825"),
        case("N18", "8 fl oz", "236.5882365"),
        case("N18", "12 fl oz", "354.88235475"),
        case("N18", "16 fl oz", "473.176473"),
        case("N18", "8 imp fl oz", "227.3045"),
        case("N18", "1 lb", "453.59237"),
        case("N18", "1 oz", "28.349523125"),
        case("N18", "1 gal", "3785.411784"),
        case("N18", "1 imp gal", "4546.09"),
    ],
)
def test_units_are_exact(typed, exact):
    assert read_contents(typed).amount == Decimal(exact)


@pytest.mark.parametrize(
    ("text", "mean", "binding"),
    [
        # NIST: of several declarations the largest is enforced. Secondary.
        case("N21", "8 fl oz (237 mL)", "236.8", "237"),
        case("N22", "8 fl oz (236 mL)", "236.5", "236.5882365"),
    ],
)
def test_the_largest_figure_of_a_label_binds(text, mean, binding):
    found = read_contents(text).binding
    assert found == Decimal(binding)
    assert Decimal(mean) < found
