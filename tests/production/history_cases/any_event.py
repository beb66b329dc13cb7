"""Any event at all, drawn from its fields: a new kind comes by itself."""

from collections.abc import Mapping
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import get_origin

from hypothesis import strategies as st

from production.record.domain.keys import UNSAID, keys_of
from production.record.domain.odd_dates import FIRST, LAST

TEXT = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"))
# As many figures as a file may have before the point and behind it.
FIGURE = st.builds(
    lambda whole, places: Decimal(whole).scaleb(-places),
    st.integers(-(10**15) + 1, 10**15 - 1),
    st.integers(0, 12),
)
VALUES = {
    str: TEXT,
    Decimal: FIGURE,
    int: st.integers(),
    bool: st.booleans(),
    date: st.dates(FIRST, LAST),
    datetime: st.datetimes(timezones=st.just(UTC)),
    Mapping: st.dictionaries(TEXT, FIGURE, max_size=3),
}


def any_part(kind):
    """Every field of a part with something that its type allows."""
    return st.builds(kind, **{key.field: _value(key) for key in keys_of(kind)})


def _value(key):
    if key.parts:
        value = st.one_of([any_part(part) for part in key.parts])
        if key.several:
            value = st.lists(value, max_size=2).map(tuple)
    elif key.holds is None:
        return st.none()
    else:
        value = VALUES[get_origin(key.holds) or key.holds]
    if key.null:
        value |= st.none()
    return value | st.just(UNSAID) if key.default is UNSAID else value
