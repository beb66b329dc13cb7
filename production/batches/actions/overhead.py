"""What a year's overhead came to, and no more than that in stock."""

from decimal import Decimal

from production.batches.reads.overhead import overhead_work
from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused
from production.record.actions.deeds import deed, written
from production.record.actions.restating import restate
from production.record.models.ink import Deed
from production.record.reads.restated import OF, in_text
from production.workshop.actions.rates import refuse_year
from production.workshop.domain.rates import lowered
from production.workshop.models.rates import OverheadPaid
from production.workshop.reads.rates import overhead_paid_in


@deed("state what overhead came to", gives=OverheadPaid)
def state_overhead(
    deed: Deed, *, year: int, actual: Decimal, past: bool = False
) -> OverheadPaid:
    """Write what a year cost beside goods and work, once it is over.

    Where batches bore more than that, the rate of each is put right, so that no more
    than was paid is in stock (IAS 2.13). Where they bore less, nothing of them changes:
    the rest is an expense of the year. A ``past`` was settled in its own book.
    """
    refuse_year(year)
    if actual < 0:
        raise Refused("Write what the year came to: nothing, or more.")
    if deed.on.year <= year:
        raise Refused(
            f"{year} is not over on {deed.on}: state it from 1 January on, when every "
            "bill is in."
        )
    if (known := overhead_paid_in(year)) is not None:
        raise Refused(
            f"{year} was stated already: {plain(known.actual)}. Take that back in the "
            "history, and state it anew."
        )
    row = written(OverheadPaid(deed=deed, year=year, actual=actual))
    if not past:
        _no_more_in_stock(deed, year, actual)
    return row


def _no_more_in_stock(deed: Deed, year: int, actual: Decimal) -> None:
    rows = overhead_work(year)
    applied = sum((row.cost for row in rows), Decimal(0))
    for row in rows:
        rate = lowered(row.rate, actual, applied)
        if rate != row.rate:
            told = {"rate": (in_text(row.rate), in_text(rate))}
            restate(deed, OF.WORK, row.pk, told)
