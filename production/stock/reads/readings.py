"""What was read, stated or promised of lots, and which value of it counts."""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from production.record.reads.restated import as_now, by_day
from production.stock.models.readings import Measurement

# Values of one lot, by what was read and how it is known.
Known = Mapping[tuple[str, str], Decimal]


def read_of(**of: Any) -> list[Measurement]:
    """Readings with a value as they are from now on, the latest last; one query."""
    rows = Measurement.objects.filter(value__isnull=False, **of)
    return by_day(as_now(rows.select_related("lot").order_by("id")))


def best_of(
    known: Known, what: str, bases: Sequence[str] = Measurement.BEST_FIRST
) -> tuple[Decimal | None, str]:
    """The value that counts and how it is known; None where nobody said it."""
    for basis in bases:
        if (what, basis) in known:
            return known[what, basis], str(basis)
    return None, ""
