"""What should come out, and which loss is which: the sums by themselves.

What a version expects grows with what goes in and never beyond it. What is abnormal is
what was named so, and what is short without a name; a normal name never costs money.
"""

from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

from production.yields.domain.yields import Outturn, Poured, Terms, should_come_out

GRAMS = st.decimals(1, 100_000, places=3)
SHARES = st.decimals("0", "0.9", places=4)
SOAP, BOTTLE = 1, 2


def poured(*amounts):
    return tuple(Poured(place, D(amount)) for place, amount in enumerate(amounts, 1))


def turned(used, made, *, expected=None, typed=False, stage="dilution", **named):
    losses = {name.replace("_", " "): D(grams) for name, grams in named.items()}
    return Outturn(
        stage=stage,
        went_in=poured(used),
        made=Poured(9, D(made)),
        named=losses,
        expected=None if expected is None else D(expected),
        typed=typed,
        by_recipe=True,
    )


@given(GRAMS, SHARES)
def test_grams_come_out_less_the_loss_and_never_more_than_went_in(used, loss):
    found = should_come_out(poured(used), Terms(loss))
    assert abs(found - used * (1 - loss)) <= D("0.0005")
    assert found <= used


def test_where_the_version_says_no_loss_nothing_is_expected():
    assert should_come_out(poured("1000"), Terms(None)) is None


@pytest.mark.parametrize(
    ("soap", "loss", "pieces"),
    [("6250", "0", 25), ("10000", "0.02", 39), ("249", "0", 0)],
)
def test_pieces_are_whole_and_go_by_what_one_takes(soap, loss, pieces):
    terms = Terms(D(loss), each={SOAP: D(250), BOTTLE: D(1)}, counted=True)
    glass = Poured(BOTTLE, D(40), counted=True, packaging=True)
    goes_in = [*poured(soap), glass]
    assert should_come_out(goes_in, terms, counted=True) == pieces


def test_two_lots_of_one_soap_are_one_soap():
    goes_in = [Poured(SOAP, D(3000)), Poured(SOAP, D(3250))]
    terms = Terms(D(0), each={SOAP: D(250)}, counted=True)
    assert should_come_out(goes_in, terms, counted=True) == 25


def test_sets_go_by_the_bottles_in_them():
    terms = Terms(D(0), each={SOAP: D(2)}, counted=True)
    assert should_come_out([Poured(SOAP, D(5), counted=True)], terms, counted=True) == 2


def test_without_a_line_of_its_own_a_piece_goes_by_its_net_mass():
    found = should_come_out(poured("1000"), Terms(D(0)), counted=True, net_mass=D(250))
    assert found == 4
    assert should_come_out(poured("1000"), Terms(D(0)), counted=True) is None


@pytest.mark.parametrize(
    ("named", "missing", "abnormal"),
    [
        ({}, "79", "79"),
        ({"steam": 79}, "0", "0"),
        ({"steam": 40}, "39", "39"),
        ({"spill": 79}, "0", "79"),
        ({"spill": 40}, "39", "79"),
        ({"spill": 100}, "0", "100"),
        ({"other": 79}, "0", "79"),
    ],
)
def test_what_is_short_of_the_expected_by_its_name(named, missing, abnormal):
    found = turned(1000, 871, expected=950, **named)
    assert (found.missing, found.abnormal) == (D(missing), D(abnormal))


def test_within_the_band_nothing_is_missing_unless_somebody_wrote_the_figure():
    assert turned(1000, 946, expected=950).abnormal == 0
    assert turned(1000, 946, expected=950, typed=True).abnormal == 4


def test_what_a_cook_boils_off_is_not_asked_about():
    assert turned(1000, 700, stage="cook").missing == 0
    assert turned(1000, 700, stage="cook").abnormal == 0


@given(
    GRAMS, GRAMS, st.dictionaries(st.sampled_from(["steam", "spill", "burnt"]), GRAMS)
)
def test_a_surplus_and_a_shortage_are_never_both(used, made, named):
    found = turned(used, made, expected=used, **named)
    assert not (found.surplus and found.missing)
    assert found.abnormal >= 0
