"""Worked cases of the height of letters and of their place on a panel.

The id of each case says which one. Standing as in the table of clauses: 21 CFR 701.3,
701.10, 701.13, 16 CFR 500.21 and C.R.C., c. 417, s. 14 were read in full. Areas and
heights were worked out by hand.
"""

from decimal import Decimal

import pytest

from labels.domain.heights import (
    SI_LETTER,
    SQUARE_CM,
    SQUARE_INCH,
    Bottle,
    Panel,
    clear_space,
    ftc_heights,
    low_enough,
    moulded,
    of_fraction,
    other_panel,
    panel,
    si_letters,
    within,
)
from labels.domain.sizes import size_for
from labels.reads.rules import rule_set
from production.quantities.domain.refusal import Refused

INCH = Decimal("25.4")
LABEL = Decimal(90), Decimal(60)


def case(name, *values):
    return pytest.param(*values, id=name)


def least(code, shown):
    rules = rule_set(code)
    return rules.heights(None, shown, rules.clauses)


@pytest.mark.parametrize(
    ("shape", "high", "across", "area", "sixteenths"),
    [
        # 21 CFR 701.10, 701.13(i); the area also 16 CFR 500.21(a). Inches.
        case("US-PDP-01", "flat", "2.5", "2.0", "5.0", 1),
        case("US-PDP-02", "round", "5.5", "8.0", "17.6", 2),
        case("US-PDP-03", "round", "8.5", "10.5", "35.7", 3),
        case("US-PDP-04", "flat", "10.0", "10.0", "100.0", 3),
        case("US-PDP-05", "flat", "11.0", "9.5", "104.5", 4),
    ],
)
def test_us_letters_are_as_high_as_the_panel_asks(
    shape, high, across, area, sixteenths
):
    bottle = Bottle(shape, Decimal(high) * INCH, Decimal(across) * INCH)
    shown = bottle.panel(*LABEL)
    assert shown.area / SQUARE_INCH == Decimal(area)
    found = least("us", shown)
    assert found.net_figures == sixteenths * INCH / 16
    # 16 CFR 500.21(h), a true soap: no letter of an SI symbol under 1.6 mm.
    assert found.net_letters == max(found.net_figures, Decimal("1.6"))


@pytest.mark.parametrize(("surface", "area"), [case("US-PDP-06", "62.5", "25.0")])
def test_of_another_shape_two_fifths_of_the_surface_are_shown(surface, area):
    # 21 CFR 701.10: 25 sq in still ask for 1/8 in.
    bottle = Bottle("other", surface=Decimal(surface) * SQUARE_INCH)
    shown = bottle.panel(*LABEL)
    assert shown.area / SQUARE_INCH == Decimal(area)
    assert least("us", shown).net_letters == INCH / 8


@pytest.mark.parametrize(
    ("wall", "diameter", "area"), [case("US-PDP-07", 140, 65, "17.72")]
)
def test_the_straight_wall_and_the_diameter_are_enough(wall, diameter, area):
    bottle = Bottle("round", Decimal(wall), diameter=Decimal(diameter))
    shown = bottle.panel(*LABEL)
    assert round(shown.area / SQUARE_INCH, 2) == Decimal(area)
    assert least("us", shown).net_figures == Decimal("3.175")


@pytest.mark.parametrize(("area", "high"), [case("US-PDP-08", "17.6", "4.7625")])
def test_letters_formed_in_the_bottle_are_a_sixteenth_of_an_inch_higher(area, high):
    # 21 CFR 701.13(i), closing sentence.
    shown = Panel(Decimal(area) * SQUARE_INCH)
    assert moulded(least("us", shown).net_figures) == Decimal(high)


@pytest.mark.parametrize(
    ("reach", "points"),
    # 21 CFR 701.13(h)(2): the lower case o, or capitals alone, reach 1/8 in; the size
    # of type was worked out.
    [case("US-TYPE-09", 520, "17.31"), case("US-TYPE-10", 700, "12.86")],
)
def test_the_size_of_type_follows_from_the_letters_that_must_reach_it(reach, points):
    size = size_for(INCH / 8, reach)
    asked = Decimal(points) * INCH / 72
    assert asked <= size + Decimal("0.002") <= asked + Decimal("0.03")


@pytest.mark.parametrize(("eighths", "part"), [case("US-TYPE-11", 1, 16)])
def test_each_figure_of_a_fraction_reaches_half(eighths, part):
    # 21 CFR 701.13(h)(3).
    assert of_fraction(INCH * eighths / 8) == INCH / part


@pytest.mark.parametrize(
    ("area", "high", "top", "right", "low"),
    [
        # 21 CFR 701.13(f), (f)(1); inches. 30 % of 5.5 in are 1.65 in.
        case("US-POS-12", "17.6", "5.5", "1.7", True, False),
        case("US-POS-12", "17.6", "5.5", "1.65", True, True),
        case("US-POS-13", "4.5", "2.5", "1.6", True, True),
        case("US-POS-80", "4.5", "2.5", "1.6", False, False),
        case("US-POS-80", "4.5", "2.5", "0.75", False, True),
    ],
)
def test_the_contents_stand_low_on_a_panel_but_a_small_one(area, high, top, right, low):
    shown = Panel(Decimal(area) * SQUARE_INCH)
    high, top = Decimal(high) * INCH, Decimal(top) * INCH
    assert low_enough(shown, high, top, otherwise_right=right) is low
    assert (within(shown) is None) is (Decimal(area) <= 5)
    assert least("us", shown).within == within(shown)


@pytest.mark.parametrize(
    ("letter", "wide", "above", "beside"),
    [case("US-SPACE-14", "0.125", "0.1", "0.125", "0.2")],
)
def test_blank_space_stands_around_the_contents(letter, wide, above, beside):
    # 21 CFR 701.13(f); inches.
    clear = clear_space(Decimal(letter), Decimal(wide))
    assert (clear.above, clear.beside) == (Decimal(above), Decimal(beside))


@pytest.mark.parametrize(
    ("surface", "part"), [case("US-ING-15", 10, 32), case("US-ING-16", 12, 16)]
)
def test_us_ingredients_may_be_small_where_under_12_square_inches_bear_a_label(
    surface, part
):
    # 21 CFR 701.3(b),(p); warnings: 21 CFR 740.2.
    for shown in (
        panel("round", Decimal(surface) * SQUARE_INCH, Decimal(1)),
        other_panel(Decimal(surface) * SQUARE_INCH),
        Bottle(
            "flat", Decimal(50), Decimal(50), surface=Decimal(surface) * SQUARE_INCH
        ).panel(*LABEL),
    ):
        assert least("us", shown).ingredients == INCH / part
        assert least("us", shown).warnings == INCH / 16


@pytest.mark.parametrize(
    ("area", "figures"),
    [
        # C.R.C., c. 417, s. 14(2),(4): other steps than the US. Square inches.
        case("CA-TYPE-48", "17.6", "3.2"),
        case("CA-TYPE-49", "35.7", "3.2"),
        case("CA-TYPE-50", "42.0", "6.4"),
    ],
)
def test_canadian_figures_have_their_own_steps(area, figures):
    found = least("ca", Panel(Decimal(area) * SQUARE_INCH))
    assert found.net_figures == Decimal(figures)
    assert found.net_letters == found.text == Decimal("1.6")


@pytest.mark.parametrize(
    ("square_cm", "high"),
    [
        ("32", "1.6"),
        ("32.1", "3.2"),
        ("258.1", "6.4"),
        ("645.1", "9.5"),
        ("2580.1", "12.7"),
    ],
)
def test_where_inches_and_their_metric_figure_differ_the_stricter_counts(
    square_cm, high
):
    # 5 sq in are 32.26 cm2, the clause says 32: by hand.
    assert least("ca", Panel(Decimal(square_cm) * SQUARE_CM)).net_figures == (
        Decimal(high)
    )


@pytest.mark.parametrize(
    ("square_cm", "high"),
    [
        # 16 CFR 500.21(b) to (g), a true soap.
        case("US-NET-83", 30, "1.5"),
        case("US-NET-83", 150, "3.1"),
        case("US-NET-83", 200, "4.7"),
        case("US-NET-83", 2000, "6.35"),
        case("US-NET-83", 3000, "12.7"),
    ],
)
def test_a_true_soap_has_the_heights_of_the_trade_commission(square_cm, high):
    found = ftc_heights(None, Panel(square_cm * SQUARE_CM), rule_set("us").clauses)
    assert found.net_figures == Decimal(high)
    # 16 CFR 500.21(h): the L of mL is measured, no other letter is under 1.6 mm.
    assert si_letters("mL") == ("L", Decimal("1.6"))
    assert si_letters("dL") == ("dL", Decimal("1.6"))
    assert found.net_letters >= Decimal("1.6")


@pytest.mark.parametrize(
    "bottle",
    [
        Bottle(),
        Bottle("", Decimal(95), Decimal(160)),
        Bottle("flat", Decimal(95)),
        Bottle("round", Decimal(95)),
        Bottle("round", None, Decimal(160)),
        Bottle("other", Decimal(95), Decimal(160)),
    ],
)
def test_what_was_not_measured_of_a_bottle_is_never_assumed(bottle):
    assert bottle.unsaid
    # A draft is still drawn, by the label.
    assert bottle.panel(*LABEL).area == 5400


def test_a_label_is_the_panel_only_where_the_maker_says_so():
    assert not Bottle("label").unsaid
    assert Bottle("label").panel(*LABEL).area == 5400
    with pytest.raises(Refused):
        panel("flat", Decimal(0), Decimal(5))
    with pytest.raises(Refused):
        other_panel(Decimal(0))


@pytest.mark.parametrize("area", ["4.9", "5", "5.1", "25", "26", "100", "101", "401"])
def test_a_us_label_is_high_enough_for_a_true_soap_too(area):
    # 16 CFR 500.21(b): the steps in inches are those of 21 CFR 701.13(i). Where the
    # metric figure of an area ends sooner, the inches may be taken.
    shown = Panel(Decimal(area) * SQUARE_INCH)
    soap = ftc_heights(None, shown, rule_set("us").clauses)
    if area not in ("5", "25", "100"):
        assert least("us", shown).net_figures >= soap.net_figures
    assert least("us", shown).net_letters >= SI_LETTER
