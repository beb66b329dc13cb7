"""Time of work as people write it: hours, minutes, or both."""

import re
from decimal import Decimal

from production.quantities.domain.number_text import read_number
from production.quantities.domain.numbers import MONEY_STEP, ZERO

_CLOCK = re.compile(r"(?P<hours>[0-9]{1,2}):(?P<minutes>[0-5][0-9])")
_WORDS = re.compile(
    r"(?:(?P<hours>[^a-z]+?)\s*(?:h|hrs?|hours?)\b\.?)?\s*"
    r"(?:(?P<minutes>[^a-z]+?)\s*(?:m|min|mins|minutes?)\b\.?)?",
    re.IGNORECASE,
)


def hours(minutes: Decimal) -> Decimal:
    """Minutes as hours to 4 places, half up."""
    return (minutes / 60).quantize(MONEY_STEP, rounding="ROUND_HALF_UP")


def read_hours(text: str) -> Decimal:
    """``1.5``, ``1.5 h``, ``90 min``, ``1 h 30 min`` or ``1:30`` as hours.

    A bare number is hours. What was written as such keeps its places; minutes are
    hours to 4 places. Raises Refused where it is none of these.
    """
    bare = text.strip()
    found = _CLOCK.fullmatch(bare) or _WORDS.fullmatch(bare)
    if found is None or not any(found.groups()):
        return read_number(bare)
    whole, part = found["hours"], found["minutes"]
    minutes = hours(read_number(part)) if part else ZERO
    return (read_number(whole) if whole else ZERO) + minutes
