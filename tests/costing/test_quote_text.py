"""A quote as it is said, read as an amount and its price."""

from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costing.domain.quote_text import read_quote
from production.quantities.domain.refusal import Refused

# Pound and ounce: international agreement of 1959.
POUND = D("453.59237")


@pytest.mark.parametrize(
    ("text", "unit", "amount", "price"),
    [
        ("35 lb for 78.50", "g", 35 * POUND, "78.5"),
        ("35 lb = $78.50", "g", 35 * POUND, "78.5"),
        ("2 lb 3 oz FOR 9", "g", 2 * POUND + 3 * POUND / 16, "9"),
        ("5 kg for 27,50 USD", "g", D(5000), "27.5"),
        ("6.40 per kg", "g", D(1000), "6.4"),
        ("6.40/kg", "g", D(1000), "6.4"),
        ("$2.24 / lb", "g", POUND, "2.24"),
        ("19 per 100 g", "g", D(100), "19"),
        ("130 for 101.40", "piece", D(130), "101.4"),
        ("0.78 each", "piece", D(1), "0.78"),
        ("0.78 a piece", "piece", D(1), "0.78"),
        ("0 for 3", "piece", None, ""),
        ("3 for 0", "piece", D(3), "0"),
    ],
)
def test_it_is_read(text, unit, amount, price):
    if amount is None:
        with pytest.raises(Refused):
            read_quote(text, "USD", unit=unit)
        return
    found = read_quote(text, "USD", unit=unit)
    assert (round(found.amount, 3), found.price) == (round(amount, 3), D(price))


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("78.50", "is no quote"),
        ("", "is no quote"),
        ("35 for 78.50", "of what weight"),
        ("35 lb for", "is no quote"),
        ("35 lb for cheap", "cheap"),
        ("35 lb for EUR 3", "EUR"),
        ("35 lb for -3", "minus|below"),
        ("6 per litre", "volume|density"),
        ("6 per", "is no quote"),
    ],
)
def test_what_is_none_is_refused_with_what_to_write(text, says):
    with pytest.raises(Refused, match=says):
        read_quote(text, "USD")


@given(st.text(max_size=20) | st.from_regex(r"\d{1,4} ?(lb|kg|x) (for|per) \d{1,4}"))
def test_any_text_is_a_quote_or_a_sentence(text):
    for unit in ("g", "piece"):
        try:
            found = read_quote(text, "USD", unit=unit)
        except Refused:
            continue
        assert found.amount > 0 <= found.price
