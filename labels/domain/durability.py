"""How long it keeps: a date, the open jar, or neither."""

from calendar import monthrange
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

# A date is asked for up to so many months.
DATED = 30


@dataclass(frozen=True, slots=True)
class Keeping:
    """What is known of how long a product keeps; dates are of the lot, if there is
    one. ``once``: used up at one opening, or cannot spoil once open."""

    made_on: date | None = None
    best_before: date | None = None
    months: int | None = None
    opened_months: int | None = None
    once: bool = False


Mark = Literal["date", "jar", "none", "unknown"]


def mark(keeping: Keeping) -> Mark:
    """Which mark stands on the pack. Regulation (EC) 1223/2009 Art 19(1)(c)."""
    long = _keeps_long(keeping)
    if long is None:
        return "unknown"
    if not long:
        return "date"
    return "none" if keeping.once else "jar"


def _keeps_long(keeping: Keeping) -> bool | None:
    if keeping.best_before is not None and keeping.made_on is not None:
        return keeping.best_before > months_later(keeping.made_on, DATED)
    if keeping.months is not None:
        return keeping.months > DATED
    return None if keeping.best_before is None else False


def last_day(keeping: Keeping) -> date | None:
    """The lot's own date, or so many months after it was made."""
    if keeping.best_before is not None or keeping.made_on is None:
        return keeping.best_before
    if keeping.months is None:
        return None
    return months_later(keeping.made_on, keeping.months)


def months_later(day: date, months: int) -> date:
    """The same day of a later month, or that month's last."""
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))


def month_form(day: date) -> str:
    """``02/2028``: the last month that ends on or before the day.

    "Before the end of" a month promises all of it, so a day within one rounds down:
    practice, from memory.
    """
    if day.day < monthrange(day.year, day.month)[1]:
        day = day.replace(day=1) - timedelta(days=1)
    return f"{day:%m/%Y}"
