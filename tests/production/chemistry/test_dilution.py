"""Diluting a paste: soap is neither made nor lost."""

from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

from production.chemistry.domain.dilution import dilute_by, finish_to, strength_after
from production.chemistry.domain.saponification import saponify
from production.quantities.domain.refusal import Refused
from tests.production.chemistry.chemistry_cases import WORKED, decimals

SHARES = decimals("0.001", 1)


def test_a_kilo_of_sixty_per_cent_paste_takes_1400_g_to_a_quarter():
    dilution = finish_to(D(1000), D("0.60"), D("0.25"), {})
    assert (dilution.paste, dilution.water, dilution.total) == (1000, 1400, 2400)


def test_three_parts_of_water_make_fifteen_per_cent_of_sixty():
    assert strength_after(D("0.60"), D(3)) == D("0.15")
    assert dilute_by(D(1000), D(3)).water == 3000


def test_the_worked_paste_comes_to_its_dilution():
    paste = saponify(WORKED)
    dilution = finish_to(paste.paste, paste.soap_fraction, D("0.25"), {})
    assert round(dilution.total, 3) == D("4249.567")
    assert round(dilution.water, 3) == D("2725.411")
    strengths = [100 * strength_after(paste.soap_fraction, D(r)) for r in (1, 2, 3)]
    assert [round(s, 3) for s in strengths] == [D("34.852"), D("23.235"), D("17.426")]


@given(decimals("0.001", 100000), SHARES, st.data())
def test_soap_is_neither_made_nor_lost(paste, strength, data):
    target = data.draw(decimals("0.001", strength))
    dilution = finish_to(paste, strength, target, {})
    assert dilution.water >= 0
    assert abs(paste * strength - dilution.total * target) < D("1e-12")
    assert abs(dilution.paste + dilution.water - dilution.total) < D("1e-12")


@given(decimals("0.001", 100000), SHARES, decimals(0, 50))
def test_parts_of_water_and_the_strength_they_give_agree(paste, strength, parts):
    by_parts = dilute_by(paste, parts)
    to_strength = finish_to(paste, strength, strength_after(strength, parts), {})
    assert abs(by_parts.water - to_strength.water) < D("1e-12")


def test_additions_are_shares_of_the_finished_mass_and_leave_its_soap_alone():
    finish = finish_to(
        D(1000), D("0.60"), D("0.25"), {"brine": D("0.05"), "fragrance": D("0.01")}
    )
    assert finish.total == 2400
    assert dict(finish.additions) == {"brine": 120, "fragrance": 24}
    assert finish.water == 1400 - 144


@pytest.mark.parametrize(
    ("paste", "strength", "target", "words"),
    [
        (D(1000), D("0.25"), D("0.60"), "cannot be diluted to 60 %"),
        (D(1000), D(60), D("0.25"), r"did you mean 0.6\?"),
        (D(1000), D("0.60"), D(25), r"did you mean 0.25\?"),
        (D(1000), D("0.60"), D(0), "more than 0"),
        (D(0), D("0.60"), D("0.25"), "more than 0"),
        (D("NaN"), D("0.60"), D("0.25"), "as a number"),
    ],
)
def test_a_dilution_that_cannot_be_is_refused(paste, strength, target, words):
    with pytest.raises(Refused, match=words):
        finish_to(paste, strength, target, {})


def test_additions_that_leave_no_room_for_water_are_refused():
    with pytest.raises(Refused, match=r"100.000 g more than the finished mass"):
        finish_to(D(1000), D("0.60"), D("0.60"), {"brine": D("0.10")})


def test_fewer_than_no_parts_of_water_are_refused():
    with pytest.raises(Refused, match="parts of water"):
        dilute_by(D(1000), D(-1))
