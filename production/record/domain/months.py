"""Whole months: what a book is closed by."""

from datetime import date, timedelta

DAY = timedelta(days=1)


def month_end(day: date) -> date:
    """The last day of the month that a day is of."""
    return (day.replace(day=28) + 4 * DAY).replace(day=1) - DAY


def ends_a_month(day: date) -> bool:
    return day == month_end(day)


def ended_between(after: date, until: date) -> list[date]:
    """The last days of the months that ended after one day and before another."""
    found, end = [], month_end(after + DAY)
    while end < until:
        found.append(end)
        end = month_end(end + DAY)
    return found
