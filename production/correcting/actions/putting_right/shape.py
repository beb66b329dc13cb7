"""What is put right, in one hand."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from production.record.actions.deeds import refuse_closed
from production.record.models.ink import Deed
from production.stock.actions.posting import entered_again, mirror, post
from production.stock.models.lots import Movement

# Of each figure: as it stood, as it is from now on.
Figures = dict[str, tuple[Any, Any]]


@dataclass(frozen=True, slots=True)
class Change:
    """One thing as it stood, and the figures of it that are put right."""

    deed: Deed
    of: str
    thing: Any
    figures: Figures
    confirmed: bool = False

    def __contains__(self, name: str) -> bool:
        return name in self.figures

    def now(self, name: str) -> Any:
        """The figure as it is from now on, changed or not."""
        return self.figures[name][1] if name in self else getattr(self.thing, name)


def refuse_closed_days(change: Change, name: str) -> None:
    """A day that moves money is neither taken out of a closed month nor put into it."""
    for day in change.figures.get(name, ()):
        if day is not None:
            refuse_closed(day)


def redate(deed: Deed, movements: list[Movement], on: date) -> None:
    """Entries of a paper on another day: each keeps its place among those of a day."""
    back = [mirror(movement) for movement in movements]
    again = [entered_again(movement, on=on) for movement in movements]
    post(deed, [*back, *again])
