"""The book in its order, and the lots to take from."""

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from production.quantities.domain.refusal import Refused
from production.stock.domain.ledger import Candidate, Entry, first_shortfall, propose


def entry(number: int, day: int, amount: str, **changed) -> Entry:
    usual = {"rank": 0, "lot": "oil", "place": "store", "note": f"entry {number}"}
    on = date(2025, 3, day)
    return Entry(id=number, on=on, amount=Decimal(amount), **usual | changed)


def test_a_book_that_stays_at_or_above_zero_has_no_shortfall():
    assert first_shortfall([entry(1, 1, "10"), entry(2, 2, "-10")]) is None
    assert first_shortfall([]) is None


def test_a_use_typed_late_is_judged_by_what_came_after():
    late = [entry(1, 1, "10"), entry(2, 5, "-8"), entry(3, 2, "-3")]
    found = first_shortfall(late)
    assert (found.lot, found.place, found.on) == ("oil", "store", date(2025, 3, 5))
    assert found.short == 1
    assert found.entry.note == "entry 2"


def test_goods_that_arrived_after_their_use_are_a_shortfall():
    assert first_shortfall([entry(1, 2, "10"), entry(2, 1, "-4")]).short == 4


def test_within_a_day_the_rank_decides_and_then_the_order_of_typing():
    use, receipt = entry(1, 1, "-4"), entry(2, 1, "10")
    assert first_shortfall([receipt, use]).entry == use
    assert first_shortfall([receipt, entry(1, 1, "-4", rank=1)]) is None


def test_each_place_and_each_lot_stands_alone():
    book = [entry(1, 1, "10"), entry(2, 2, "-1", place="stall")]
    assert first_shortfall(book).place == "stall"
    book = [entry(1, 1, "10"), entry(2, 2, "-1", lot="salt")]
    assert first_shortfall(book).lot == "salt"


ENTRIES = st.builds(
    Entry,
    st.integers(1, 99),
    st.dates(date(2025, 1, 1), date(2025, 1, 9)),
    st.integers(0, 2),
    st.sampled_from(["oil", "salt"]),
    st.sampled_from(["store", "stall"]),
    st.decimals(-5, 9, places=3),
    st.just(""),
)


@given(st.lists(ENTRIES, max_size=12, unique_by=lambda entry: entry.id))
def test_the_shortfall_is_the_first_prefix_of_the_book_below_zero(entries):
    book = sorted(entries, key=lambda entry: (entry.on, entry.rank, entry.id))
    expected = None
    for end, last in enumerate(book, 1):
        same = [e for e in book[:end] if (e.lot, e.place) == (last.lot, last.place)]
        total = sum(e.amount for e in same)
        if total < 0:
            expected = (last, -total)
            break
    found = first_shortfall(entries)
    assert (found and (found.entry, found.short)) == expected


def lot(code: str, on_hand: str, expiry: date | None = None, day: int = 1) -> Candidate:
    return Candidate(code, Decimal(on_hand), expiry, date(2025, 1, day))


def test_the_earliest_expiry_goes_first_and_none_last():
    lots = [
        lot("never", "5"),
        lot("later", "5", date(2026, 2, 1)),
        lot("soon", "5", date(2026, 1, 1)),
    ]
    assert propose(lots, Decimal(12)) == [("soon", 5), ("later", 5), ("never", 2)]


def test_what_turns_first_goes_first_however_late_it_came():
    """A drum of last month keeps two years; the one that came today turns in a week."""
    lots = [
        lot("drum", "5", date(2027, 1, 1), day=1),
        lot("short", "5", date(2025, 2, 7), day=31),
    ]
    assert propose(lots, Decimal(6)) == [("short", 5), ("drum", 1)]


def test_of_equal_expiry_the_oldest_goes_first_and_then_the_code():
    lots = [lot("c", "5", day=2), lot("b", "5"), lot("a", "5", day=2)]
    assert propose(lots, Decimal(15)) == [("b", 5), ("a", 5), ("c", 5)]


def test_an_empty_lot_is_passed_over():
    assert propose([lot("a", "0"), lot("b", "3")], Decimal(3)) == [("b", 3)]


def test_a_proposal_beyond_what_is_held_says_how_much_is_short():
    lots = [lot("a", "80"), lot("b", "7.5"), lot("c", "-1")]
    with pytest.raises(Refused, match=r"Only 87.5 of 100 are on hand, 12.5 short"):
        propose(lots, Decimal(100))
    with pytest.raises(Refused, match="Only 0 of 1 are on hand"):
        propose([], Decimal(1))


@pytest.mark.parametrize("amount", ["0", "-1"])
def test_a_proposal_for_nothing_is_refused(amount):
    with pytest.raises(Refused, match="above zero"):
        propose([lot("a", "5")], Decimal(amount))


@given(
    st.lists(st.decimals("0.001", 9, places=3), min_size=1, max_size=6),
    st.decimals("0.001", 9, places=3),
)
def test_a_proposal_adds_up_and_takes_no_more_than_a_lot_holds(held, amount):
    lots = [lot(str(place), str(grams)) for place, grams in enumerate(held)]
    if sum(held) < amount:
        with pytest.raises(Refused):
            propose(lots, amount)
        return
    shares = propose(lots, amount)
    assert sum(share for _, share in shares) == amount
    assert all(0 < share <= held[int(code)] for code, share in shares)
    # every lot but the last is emptied: no half-used tubs left standing about
    assert all(share == held[int(code)] for code, share in shares[:-1])
