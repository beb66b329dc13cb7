"""Worked cases of the average system: nominal, error, limits and the three rules.

The id of each case says which one. Directive 76/211/EEC Annex I and UK SI 2006/659
Schedules 2 and 3, verified; rounding up to 0.1 and 2.5 % of a large batch are official
guidance.
"""

from decimal import Decimal

import pytest

from labels.domain.heights import panel
from labels.domain.net_contents import read_contents
from labels.domain.packers import (
    check_weights,
    keeps_rules,
    limits,
    no_e_mark,
    weighed,
)
from labels.reads.rules import rule_set
from production.quantities.domain.refusal import Refused


def case(name, *values):
    return pytest.param(*values, id=name)


@pytest.mark.parametrize(
    ("rules", "nominal", "height", "error", "first", "second"),
    [
        # Directive 76/211/EEC Annex I 2.4, 2.5, 3.1; UK SI 2006/659 reg 8(3)(d), Sch 3.
        case("EU-QTY-34", "eu", 50, 2, "4.5", "45.5", "41"),
        case("EU-QTY-35", "eu", 100, 3, "4.5", "95.5", "91"),
        case("EU-QTY-36", "eu", 150, 3, "6.8", "143.2", "136.4"),
        case("EU-QTY-37", "eu", 200, 3, "9", "191", "182"),
        case("EU-QTY-38", "eu", 250, 4, "9", "241", "232"),
        case("EU-QTY-39", "eu", 300, 4, "9", "291", "282"),
        case("UK-QTY-40", "uk", 375, 4, "11.3", "363.7", "352.4"),
        case("EU-QTY-41", "eu", 500, 4, "15", "485", "470"),
        case("EU-QTY-42", "eu", 1000, 4, "15", "985", "970"),
        case("EU-QTY-43", "eu", 1500, 6, "22.5", "1477.5", "1455"),
        # The same, of the other reference.
        case("N02", "eu", 250, 4, "9", "241", "232"),
    ],
)
def test_how_far_a_pack_may_fall_short_and_how_high_its_figures_are(
    rules, nominal, height, error, first, second
):
    found = limits(Decimal(nominal))
    assert (found.tolerable, found.first, found.second) == (
        Decimal(error),
        Decimal(first),
        Decimal(second),
    )
    of = rule_set(rules)
    contents = of.contents(read_contents(f"{nominal} mL"))
    shown = panel("label", Decimal(90), Decimal(60))
    assert of.heights(contents, shown, of.clauses).net_figures == height


@pytest.mark.parametrize(
    ("nominal", "error"),
    [
        case("N01", *pair)
        for pair in (
            (5, "0.5"),
            (10, "0.9"),
            (50, "4.5"),
            (75, "4.5"),
            (100, "4.5"),
            (118, "5.4"),
            (150, "6.8"),
            (200, "9"),
            (236, "9"),
            (250, "9"),
            (300, "9"),
            (354, "10.7"),
            (355, "10.7"),
            (473, "14.2"),
            (500, "15"),
            (750, "15"),
            (1000, "15"),
        )
    ],
)
def test_the_tolerable_error_is_rounded_up(nominal, error):
    assert limits(Decimal(nominal)).tolerable == Decimal(error)


@pytest.mark.parametrize("nominal", ["4.9", "10001"])
def test_outside_their_reach_the_rules_say_nothing(nominal):
    with pytest.raises(Refused, match="reach from 5 to 10000"):
        limits(Decimal(nominal))


@pytest.mark.parametrize(
    ("batch", "mean", "below_first", "below_second", "kept", "share"),
    [
        case("N03", 40, "250.4", 1, 0, (True, True, True), "0.025"),
        case("N04", 400, "251", 20, 0, (True, False, True), "0.05"),
        case("N05", 400, "252", 1, 1, (True, True, False), "0.0025"),
    ],
)
def test_the_three_rules_of_packers(
    batch, mean, below_first, below_second, kept, share
):
    found = keeps_rules(Decimal(250), batch, Decimal(mean), below_first, below_second)
    assert (found.average, found.few, found.none_below) == kept
    assert found.share == Decimal(share)
    assert found.all is all(kept)


@pytest.mark.parametrize(
    "filled",
    [
        case(
            "EU-PACK-44",
            [
                "251",
                "250.5",
                "249",
                "252",
                "250",
                "240.5",
                "251.5",
                "250",
                "253",
                "252.5",
            ],
        )
    ],
)
def test_of_a_small_batch_one_in_twenty_may_be_short(filled):
    # UK SI 2006/659 reg 4, Sch 2 para 3.6, 4.7: 1 of 10 below 241 mL is 10 %.
    found = weighed(Decimal(250), [Decimal(one) for one in filled])
    assert found.average
    assert found.none_below
    assert found.share == Decimal("0.1")
    assert not found.few
    assert not found.all


@pytest.mark.parametrize(
    ("density", "mean", "first", "second"),
    [case("EU-MASS-45", "1.03", "257.5", "248.23", "238.96")],
)
def test_a_volume_is_checked_in_grams_by_its_density(density, mean, first, second):
    # UK SI 2006/659 Sch 2 para 1.1, 1.2; Directive 76/211/EEC Annex I 2.2.
    of = check_weights(Decimal(250), Decimal(density))
    assert Decimal(250) * Decimal(density) == Decimal(mean)
    assert (of.first, of.second) == (Decimal(first), Decimal(second))


@pytest.mark.parametrize(
    ("nominal", "height", "may"),
    [
        # Directive 76/211/EEC Art 1, Annex I 3.3; UK SI 2006/659 reg 2, 3(1), 5(3).
        case("EU-EMARK-46", "4", "3", False),
        case("EU-EMARK-46", "250", "2.5", False),
        case("EU-EMARK-46", "250", "3", True),
        case("EU-EMARK-46", "12000", "3", False),
    ],
)
def test_where_the_mark_of_the_packers_may_stand(nominal, height, may):
    assert (not no_e_mark(Decimal(nominal), Decimal(height))) is may


@pytest.mark.parametrize(
    ("batch", "first", "second"), [(0, 0, 0), (10, 11, 0), (10, 1, 2), (10, -1, -1)]
)
def test_a_count_that_cannot_be_is_refused(batch, first, second):
    with pytest.raises(Refused, match="Count the packs"):
        keeps_rules(Decimal(250), batch, Decimal(250), first, second)
    with pytest.raises(Refused, match="Weigh the packs"):
        weighed(Decimal(250), [])
