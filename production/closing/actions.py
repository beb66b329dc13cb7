"""A month is closed."""

from datetime import date

from production.quantities.domain.refusal import Refused
from production.record.actions.deeds import deed, refuse_closed, written
from production.record.actions.followers import WHEN_CLOSED
from production.record.actions.people import owner_only
from production.record.domain.months import ends_a_month, month_end
from production.record.models.ink import Closing, Deed


@deed(
    "close the book",
    gives=Closing,
    stays="A closed month is not opened again: mend it in the first open month.",
)
def close_book(
    deed: Deed, *, through: date, past: bool = False, statement: str = ""
) -> Closing:
    """Close whole months: nothing that moves goods or money is dated into them.

    ``past`` is taken over from an earlier book, which may have closed by the day, with
    the ``statement`` that it froze.
    """
    owner_only(deed.by, "close a month")
    if through > deed.on:
        raise Refused(
            "A month is closed when it is over: choose a day that has passed."
        )
    if deed.on <= through:
        raise Refused("Date the closing after the last day that it closes.")
    if not past and not ends_a_month(through):
        raise Refused(
            f"{through} is not the end of a month: choose {month_end(through)}, once "
            "that month is over."
        )
    refuse_closed(through)
    row = written(Closing(deed=deed, through=through))
    if statement or not past:
        for follow in WHEN_CLOSED:
            follow(row, statement or None)
    return row
