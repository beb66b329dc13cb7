"""Weight or volume by how the product flows; an ounce on a liquid is asked about."""

import pytest

from labels.domain.packs import measured_as
from labels.reads.rules import rule_set
from tests.labels.test_label_facts import facts


def found(rules, declared, body):
    known = facts(rules, declared=declared, body=body)
    of = rule_set(rules)
    element = next(one for one in of.elements if one.key == "basis")
    return element.found(known, of)


@pytest.mark.parametrize(
    ("rules", "body", "declared", "right"),
    [
        # 21 CFR 701.13(a), (g), verified.
        ("us", "liquid", "8 fl oz", True),
        ("us", "liquid", "8 oz", False),
        pytest.param("us", "paste", "24 oz", True, id="US-NET-25"),
        pytest.param("us", "paste", "24 fl oz", False, id="US-NET-25"),
        # C.R.C., c. 417, s. 21, verified: a viscous one by volume, unlike the US.
        pytest.param("ca", "paste", "680 mL", True, id="CA-NET-52"),
        pytest.param("ca", "paste", "680 g", False, id="CA-NET-52"),
        ("ca", "liquid", "680 g", False),
        # SI 2006/659 reg 8(1), verified; the EU: our reading.
        ("uk", "liquid", "250 ml", True),
        ("uk", "liquid", "250 g", False),
        ("uk", "paste", "250 g", True),
        ("uk", "paste", "250 ml", True),
        ("eu", "paste", "250 g", True),
        ("eu", "liquid", "250 g", False),
        # Nobody said how it flows: asked where it matters.
        ("us", "", "8 fl oz", False),
        ("us", "", "8 oz", False),
        ("ca", "", "236 mL", True),
        ("ca", "", "236 g", False),
        ("eu", "", "236 mL", True),
        ("eu", "", "236 g", False),
    ],
)
def test_a_liquid_is_declared_by_volume_and_a_paste_as_the_rules_say(
    rules, body, declared, right
):
    assert found(rules, declared, body).missing is not right


def test_an_ounce_on_a_liquid_is_asked_about():
    says = found("us", "8 oz", "liquid").says
    assert "8 oz is a weight. Write fl oz if fluid ounces were meant" in says
    assert "fluid ounces" not in found("us", "236 g", "liquid").says


def test_contents_that_cannot_be_read_are_told_once():
    assert found("us", "", "").state == "not needed"
    assert measured_as("weight")(facts("us", declared="8"), rule_set("us"))[0] == (
        "not needed"
    )
