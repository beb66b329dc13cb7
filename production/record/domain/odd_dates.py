"""Dates on goods and papers that cannot well be so: is the year right?"""

from collections.abc import Iterator
from datetime import date

from production.quantities.domain.refusal import Refused

# How far a date may lie before somebody is asked: common practice, no source.
KEEPS = 10
PAPERS = 2
ASKS = "Is the year right? Write the date again, or tick that it is right."


# What a calendar can still count on from, years of keeping and all: beyond it a year
# was mistyped. Common practice, no source.
FIRST, LAST = date(1900, 1, 1), date(2999, 12, 31)


def refuse_far(day: date) -> None:
    """Refuse a day of another age, whatever it is the day of."""
    if not FIRST <= day <= LAST:
        raise Refused(
            f"{day} is no day of this book: it knows those from {FIRST.year} to "
            f"{LAST.year}. Write the year again."
        )


def odd_expiry(expires: date | None, on: date, came: str = "came") -> str:
    """What is odd about an expiry of goods that came, or were made, on that day."""
    if expires is None:
        return ""
    if expires < on:
        return f"It would have expired on {expires}, before it {came} on {on}."
    if expires > later(on, KEEPS):
        return f"It would expire on {expires}, more than ten years after it {came}."
    return ""


def odd_paper(what: str, day: date | None, on: date, today: date) -> str:
    """What is odd about the day of a paper for goods that came on a day."""
    if day is None:
        return ""
    if what == "ordered" and day > on:
        return f"It would have been ordered on {day}, after it came on {on}."
    if day > today:
        return f"{day}, when it was {what}, is still to come."
    if day < later(on, -PAPERS):
        return f"It was {what} on {day}, more than two years before it came on {on}."
    return ""


def odd_papers(
    on: date, today: date, ordered: date | None, invoiced: date | None
) -> Iterator[tuple[str, str]]:
    """Each field whose date is odd, with its sentence."""
    for what, day in (("ordered", ordered), ("invoiced", invoiced)):
        if says := odd_paper(what, day, on, today):
            yield what, says


def later(on: date, years: int) -> date:
    """The same day so many years later, or the one before it in a short February."""
    try:
        return on.replace(year=on.year + years)
    except ValueError:
        return on.replace(year=on.year + years, day=28)
