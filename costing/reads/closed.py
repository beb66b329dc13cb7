"""Closed months, as their statements froze them."""

from dataclasses import dataclass
from datetime import date

from costing.domain.books import Figures, Method
from costing.domain.statement import Statement, read
from costing.models.statements import Statement as Row


@dataclass(frozen=True, slots=True)
class Frozen:
    """The last statement that was frozen through a day, or before it."""

    through: date
    statement: Statement

    def figures(self, method: Method, then: Figures) -> Figures:
        """The books through its last day as it froze them.

        ``then`` are those of that day as known now.
        """
        return then


def last_frozen(day: date) -> Frozen | None:
    """The latest closing through that day that froze a statement."""
    rows = Row.objects.filter(closing__through__lte=day).select_related("closing")
    row = rows.order_by("-closing__through").first()
    return None if row is None else Frozen(row.closing.through, read(row.text))
