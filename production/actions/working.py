"""Hours at a rate: what making a batch cost beside its lots."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from production.actions.deeds import deed, written
from production.domain.refusal import Refused
from production.models import Batch, Deed, Work


@dataclass(frozen=True, slots=True)
class NewWork:
    kind: str
    hours: Decimal
    rate: Decimal


@deed("note work")
def note_work(deed: Deed, *, batch: Batch, work: Sequence[NewWork]) -> None:
    """Hours at a rate: ink, like a price."""
    write_work(deed, batch, work)


def write_work(deed: Deed, batch: Batch, work: Sequence[NewWork]) -> None:
    """The same within a deed."""
    for new in work:
        if new.hours <= 0 or new.rate < 0:
            raise Refused("Hours are above zero and a rate is not negative.")
        written(
            Work(
                deed=deed,
                batch=batch,
                kind=new.kind,
                hours=new.hours,
                rate=new.rate,
                on=deed.on,
            )
        )
