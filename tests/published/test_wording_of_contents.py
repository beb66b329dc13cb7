"""Worked cases of how a quantity is worded: what a statement may say and what not.

The id of each case says which one; its clause stands beside it. 21 CFR 701.13, 15 USC
1453, UK SI 2006/659 reg 8 and C.R.C., c. 417 were read in full.
"""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from labels.domain.net_contents import read_contents
from labels.domain.packs import worded_otherwise
from labels.domain.statement import canada_faults, canada_forms, uk_faults, us_faults
from labels.reads.rules import rule_set
from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused


def case(name, *values):
    return pytest.param(*values, id=name)


@pytest.mark.parametrize(
    ("text", "right"),
    [
        # 21 CFR 701.13(j)(1), (m)(4).
        case("US-NET-24", "56 fl oz (1 qt 1 1/2 pt)", True),
        case("US-NET-24", "56 fl oz (1 qt 1 pt 8 fl oz)", True),
        case("US-NET-24", "56 fl oz (1 qt 24 fl oz)", False),
        case("US-NET-24", "56 fl oz", False),
        # 21 CFR 701.13(k), (m)(5).
        case("US-NET-79", "2 gal 2 qt", True),
        case("US-NET-79", "2 1/2 gal", True),
        case("US-NET-79", "2.5 gal", True),
        case("US-NET-79", "2 gal 4 pt", False),
        case("US-NET-79", "320 fl oz (2 gal 2 qt)", False),
        # The forms that 21 CFR 701.13(m) itself prints, with the words of (j)(2).
        ("Net wt. 24 oz. (1 lb. 8 oz.)", True),
        ("Net wt. 24 oz. (1½ lb.)", True),
        ("Net wt. 24 oz. (1.5 lb.)", True),
        ("Net wt. 12 oz.", True),
        ("32 fl. oz. (1 qt.)", True),
        ("56 fl. oz. (1 qt. 1½ pt.)", True),
        ("56 fl. oz. (1 qt. 1 pt. 8 oz.)", True),
        ("56 fl. oz. (1 qt. 24 oz.)", False),
        ("1 gal. 1 qt. 9 fl. oz.", True),
        # 701.13(k) for weights of 4 lb; (j)(1) for those of a pound.
        ("Net wt. 5 lb. 4 oz.", True),
        ("Net wt. 84 oz.", False),
        ("Net wt. 24 oz.", False),
        ("1 pt 4 fl oz", False),
        # 21 CFR 701.13(d): halves to thirty-seconds in lowest terms, two decimals.
        ("7 1/2 fl oz", True),
        ("7 2/4 fl oz", False),
        ("7 1/5 fl oz", False),
        ("7.125 fl oz", False),
        # (k), (m): a fraction only of the last unit.
        ("1.5 gal 1 qt", False),
    ],
)
def test_the_inch_pound_part_of_a_us_statement(text, right):
    assert (not us_faults(text, dual=False)) is right


@pytest.mark.parametrize(
    ("text", "right"),
    [
        # 21 CFR 701.13(j)(2).
        case("US-NET-81", "Net Wt 6 oz (170 g)", True),
        case("US-NET-81", "6 oz net wt (170 g)", True),
        case("US-NET-81", "6 oz (170 g)", False),
        case("US-NET-81", "6 fl oz (177 mL)", True),
        case("US-NET-81", "Net contents 6 fl oz (177 mL)", True),
        # 15 USC 1453(b); 21 CFR 701.13(f).
        case("US-NET-26", "Giant 8 fl oz (236 mL)", False),
        # 15 USC 1453(a)(2): both systems.
        ("8 fl oz", False),
        ("236 mL", False),
    ],
)
def test_a_us_statement(text, right):
    assert (not us_faults(text)) is right


def test_a_true_soap_has_three_decimals_and_calls_its_weight_as_it_likes():
    # 16 CFR 500.17(a), 500.9, verified.
    assert us_faults("7.125 fl oz (210 mL)")
    assert not us_faults("7.125 fl oz (210 mL)", places=3)
    assert not us_faults("6 oz (170 g)", cosmetic=False)


@pytest.mark.parametrize(
    ("text", "larger", "right"),
    [
        # UK SI 2006/659 reg 8(3)(a),(c),(f),(h).
        case("UK-UNIT-47", "250 ml", False, True),
        case("UK-UNIT-47", "Net 250 mL", False, True),
        case("UK-UNIT-47", "Nt 250 ml", False, False),
        case("UK-UNIT-47", "250 ml 8.8 fl oz", False, True),
        case("UK-UNIT-47", "8.8 FL OZ 250 ml", True, False),
        case("UK-UNIT-47", "250 ml 8.8 fl oz", True, False),
        case("UK-UNIT-47", "1/4 litre", False, False),
        ("8.8 imp fl oz", False, False),
    ],
)
def test_a_uk_statement(text, larger, right):
    assert (not uk_faults(text, imperial_larger=larger)) is right


@pytest.mark.parametrize(
    ("amount", "forms"),
    [
        # C.R.C., c. 417, s. 25, 27(a),(b).
        case("CA-NET-51", "250", ("250 mL",)),
        case("CA-NET-51", "500", ("500 mL", "0.5 L")),
        case("CA-NET-51", "950", ("950 mL",)),
        case("CA-NET-51", "1000", ("1 L",)),
        case("CA-NET-51", "1500", ("1.5 L",)),
    ],
)
def test_a_canadian_amount_has_one_unit_by_its_size(amount, forms):
    assert canada_forms(Decimal(amount)) == forms
    assert all(not canada_faults(form) for form in forms)


@pytest.mark.parametrize(
    "text",
    ["1000 mL", "0.25 L", "1/2 L", ".5 L", "8 fl oz", "1234 mL", "99.5 mL", "a jar"],
)
def test_another_canadian_form_is_named_with_what_to_write(text):
    assert canada_faults(text)


UNITS = ["mL", "L", "fl oz", "qt", "gal", "g", "kg", "oz", "lb"]


@given(
    st.decimals("0.5", "3000", places=2),
    st.sampled_from(UNITS),
    st.sampled_from(["us", "uk", "ca"]),
)
def test_what_is_printed_here_has_no_fault_of_its_own_rules(amount, unit, rules):
    try:
        printed = rule_set(rules).contents(read_contents(f"{plain(amount)} {unit}"))
    except Refused:
        return
    assert rule_set(rules).faults(str(printed)) == ()


def test_a_statement_that_would_not_do_is_told_with_what_is_printed():
    us = rule_set("us")
    (note,) = worded_otherwise("56 fl oz (1 qt 24 fl oz)", us)
    assert note.startswith(
        "Of 56 fl oz (1 qt 24 fl oz) the label makes 56 fl oz (1 qt 1 pt 8 fl oz) "
        "1.65 L."
    )
    assert worded_otherwise("8 fl oz (236 mL)", us) == ()
    assert worded_otherwise("8 fl oz", us) == ()
    assert worded_otherwise("56 fl oz (1 qt 24 fl oz)", rule_set("eu")) == ()
    assert worded_otherwise("8 mugs", us) == ()
