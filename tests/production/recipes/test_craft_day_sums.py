"""The sums of a craft day: packs in their order, one pot, what to weigh in."""

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from production.quantities.domain.refusal import Refused
from production.quantities.domain.time_text import hours
from production.recipes.domain.craft_day import in_one_pot, open_pack_first
from production.stock.domain.ledger import Candidate

DAY = date(2026, 3, 2)


def pack(code, held, expiry=None):
    return Candidate(code, Decimal(held), expiry, DAY)


SOON, LATE = pack("SOON", "50", date(2026, 4, 1)), pack("LATE", "80")


def test_the_open_pack_comes_before_the_one_that_expires_first():
    assert open_pack_first(LATE, [SOON, LATE], Decimal(30)) == [("LATE", 30)]


def test_a_pack_that_runs_out_goes_on_in_the_next_lot():
    shares = open_pack_first(LATE, [SOON, LATE], Decimal(100))
    assert shares == [("LATE", 80), ("SOON", 20)]


def test_without_an_open_pack_the_earliest_expiry_counts():
    assert open_pack_first(None, [LATE, SOON], Decimal(60)) == [
        ("SOON", 50),
        ("LATE", 10),
    ]


def test_an_empty_pack_is_passed_over():
    assert open_pack_first(pack("OUT", "0"), [SOON], Decimal(5)) == [("SOON", 5)]


def test_what_is_short_is_told_of_the_whole_amount():
    with pytest.raises(Refused, match="Only 130 of 200 are on hand, 70 short"):
        open_pack_first(LATE, [SOON, LATE], Decimal(200))


amounts = st.integers(1, 10**6).map(lambda n: Decimal(n).scaleb(-3))


@given(st.lists(amounts, min_size=1, max_size=5), amounts, st.booleans())
def test_shares_add_up_and_take_no_more_than_a_pack_holds(held, amount, opened):
    lots = [pack(f"L{number}", grams) for number, grams in enumerate(held)]
    first = lots[-1] if opened else None
    if amount > sum(held):
        with pytest.raises(Refused):
            open_pack_first(first, lots, amount)
        return
    shares = open_pack_first(first, lots, amount)
    assert sum(part for _, part in shares) == amount
    on_hand = {lot.code: lot.on_hand for lot in lots}
    assert all(0 < part <= on_hand[code] for code, part in shares)
    assert len(dict(shares)) == len(shares)
    if opened:
        assert shares[0][0] == first.code


def test_one_pot_holds_what_went_in_less_what_was_lost():
    poured = [Decimal(5000), Decimal("9891.6")]
    assert in_one_pot(poured, [Decimal(90)]) == Decimal("14801.6")


def test_a_pot_out_of_which_all_was_lost_is_asked_about():
    with pytest.raises(Refused, match="nothing would be left"):
        in_one_pot([Decimal(10)], [Decimal(10)])


def test_minutes_are_hours_to_four_places():
    assert hours(Decimal(95)) == Decimal("1.5833")
