"""Two lots into one, additions on top, and what so many bottles need."""

from decimal import Decimal as D

import pytest
from hypothesis import assume, given

from production.chemistry.domain.blending import add_to, blend_to, thickness_blend
from production.quantities.domain.refusal import Refused
from tests.production.chemistry.chemistry_cases import decimals

TINY = D("1e-12")
FIGURES = decimals("-0.05", "0.6")


def test_strong_and_weak_soap_meet_in_between():
    blend = blend_to(D("0.20"), D("0.30"), D("0.15"), D(900))
    assert (blend.first, blend.second, blend.total) == (300, 600, 900)


@given(FIGURES, FIGURES, decimals(0, 1), decimals("0.001", 10000))
def test_a_blend_has_the_figure_wanted_and_loses_nothing(a, b, part, total):
    assume(a != b)
    target = a * part + b * (1 - part)
    blend = blend_to(target, a, b, total)
    assert blend.first + blend.second == total
    assert blend.first >= 0
    assert blend.second >= -TINY
    assert abs(blend.first * a + blend.second * b - total * target) < TINY


@pytest.mark.parametrize("mix", [blend_to, thickness_blend])
def test_what_is_not_between_the_two_cannot_be_blended(mix):
    with pytest.raises(Refused, match=r"No blend of 0.3 and 0.1 gives 0.4"):
        mix(D("0.4"), D("0.3"), D("0.1"), D(1))
    with pytest.raises(Refused, match=r"Both lots have 0.3"):
        mix(D("0.3"), D("0.3"), D("0.3"), D(1))


def test_thickness_goes_by_its_logarithm():
    """Halfway by mass between 100 and 10000 is their geometric mean."""
    blend = thickness_blend(D(1000), D(10000), D(100), D(500))
    assert abs(blend.first - 250) < TINY
    assert thickness_blend(D(100), D(10000), D(100), D(500)).first == 0
    with pytest.raises(Refused, match="more than 0"):
        thickness_blend(D(0), D(10000), D(100), D(500))


def test_additions_are_shares_of_the_finished_mass():
    made = add_to(D(940), {"fragrance": D("0.01"), "brine": D("0.05")})
    assert made.total == 1000
    assert made.additions == {"fragrance": 10, "brine": 50}
    assert add_to(D(940), {}).total == 940


@pytest.mark.parametrize("shares", [{"a": D(1)}, {"a": D("0.6"), "b": D("0.4")}])
def test_additions_leave_room_for_soap(shares):
    with pytest.raises(Refused, match="no room for soap"):
        add_to(D(100), shares)
