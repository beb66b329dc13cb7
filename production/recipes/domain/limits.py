"""A limit of a recipe, as a file or a form says it."""

from dataclasses import dataclass
from decimal import Decimal

from production.record.domain.keys import Part


@dataclass(frozen=True)
class NewCheck(Part):
    """A reading asked for; shares of ``low`` and ``high`` are fractions."""

    what: str
    low: Decimal | None = None
    high: Decimal | None = None
    how: str = ""
