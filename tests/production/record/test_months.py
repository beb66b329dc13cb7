"""A month is offered for closing once it is over, and never on its last evening."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from production.record.domain.months import ended_between, ends_a_month, month_end

FEBRUARY, MARCH, APRIL = date(2026, 2, 28), date(2026, 3, 31), date(2026, 4, 30)


@pytest.mark.parametrize(
    ("today", "offered"),
    [
        (date(2026, 3, 30), []),
        (MARCH, []),
        (date(2026, 4, 1), [MARCH]),
        (APRIL, [MARCH]),
        (date(2026, 5, 1), [MARCH, APRIL]),
    ],
)
def test_the_months_that_are_over_are_offered(today, offered):
    assert ended_between(FEBRUARY, today) == offered


def test_a_book_that_was_closed_on_a_day_goes_on_with_that_very_month():
    assert ended_between(date(2026, 3, 10), date(2026, 4, 1)) == [MARCH]


@pytest.mark.parametrize(
    ("day", "end"),
    [
        (date(2026, 1, 1), date(2026, 1, 31)),
        (date(2026, 12, 31), date(2026, 12, 31)),
        (date(2026, 2, 3), date(2026, 2, 28)),
        (date(2028, 2, 28), date(2028, 2, 29)),
        (date(2100, 2, 28), date(2100, 2, 28)),
    ],
)
def test_a_month_ends_where_the_calendar_says(day, end):
    assert month_end(day) == end


@given(st.dates(date(1990, 1, 1), date(2120, 1, 1)))
def test_the_day_after_the_end_is_the_first(day):
    assert ends_a_month(day) == ((day + timedelta(days=1)).day == 1)
