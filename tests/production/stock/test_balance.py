"""The law of mass for one batch."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from production.quantities.domain.refusal import Refused
from production.stock.domain.balance import balance, beyond_band, net_grams

GRAMS = st.decimals(0, 100_000, places=3)
LOSSES = st.dictionaries(st.sampled_from(["spilt", "sampled", "left in pot"]), GRAMS)


@given(GRAMS, GRAMS, st.sampled_from(["cook", "dilution", "filling"]), LOSSES)
def test_every_gram_used_is_made_or_accounted_for(used, made, stage, losses):
    found = balance(used, made, stage, losses)
    named = sum(found.named.values())
    assert used == made + found.evaporation + named + found.difference
    assert found.evaporation >= 0
    assert (found.evaporation == 0) or (stage == "cook" and found.difference == 0)


def test_what_a_cook_does_not_name_has_boiled_off():
    found = balance(Decimal(10850), Decimal(10000), "cook", {"spilt": Decimal(50)})
    assert (found.evaporation, found.difference) == (800, 0)
    assert found.named == {"spilt": 50}


def test_a_cook_that_made_more_than_it_used_has_a_weighing_difference():
    found = balance(Decimal(1000), Decimal(1004), "cook", {})
    assert (found.evaporation, found.difference) == (0, -4)


def test_nothing_boils_off_in_another_stage():
    found = balance(Decimal(12000), Decimal(11800), "dilution", {})
    assert (found.evaporation, found.difference) == (0, 200)


def test_a_loss_below_zero_is_refused_by_its_name():
    with pytest.raises(Refused, match="The loss spilt is below zero"):
        balance(Decimal(10), Decimal(10), "filling", {"spilt": Decimal(-1)})


def test_a_later_change_of_the_losses_does_not_reach_the_balance():
    losses = {"spilt": Decimal(1)}
    found = balance(Decimal(10), Decimal(9), "filling", losses)
    losses["spilt"] = Decimal(5)
    assert found.named == {"spilt": 1}


@pytest.mark.parametrize(
    ("made", "beyond"),
    [("995", False), ("994.999", True), ("1005", False), ("1005.001", True)],
)
def test_half_a_percent_of_what_was_used_is_still_within_the_band(made, beyond):
    assert beyond_band(balance(Decimal(1000), Decimal(made), "filling", {})) is beyond


def test_the_band_can_be_set():
    found = balance(Decimal(1000), Decimal(980), "filling", {})
    assert not beyond_band(found, Decimal("0.02"))
    assert beyond_band(found, Decimal("0.0199"))


def test_something_made_from_nothing_is_beyond_any_band():
    assert beyond_band(balance(Decimal(0), Decimal(1), "filling", {}))


def test_evaporation_and_named_losses_ask_for_no_reason():
    assert not beyond_band(balance(Decimal(1000), Decimal(800), "cook", {}))
    spilt = {"spilt": Decimal(200)}
    assert not beyond_band(balance(Decimal(1000), Decimal(800), "filling", spilt))


def test_pieces_count_with_their_net_mass():
    assert net_grams(Decimal(40), Decimal("236.5")) == 9460


def test_pieces_of_unknown_net_mass_are_not_judged():
    assert net_grams(Decimal(40), None) is None
