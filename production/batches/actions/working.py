"""Hours at a rate: what making a batch cost beside its lots."""

from collections.abc import Sequence

from production.quantities.domain.refusal import Refused
from production.record.actions.deeds import deed, written
from production.record.models.ink import Deed
from production.stock.models.batches import Batch, Work
from production.yields.domain.hours_and_losses import NewWork


@deed("note work")
def note_work(deed: Deed, *, batch: Batch, work: Sequence[NewWork]) -> None:
    """Hours at a rate: ink, like a price."""
    write_work(deed, batch, work)


def write_work(deed: Deed, batch: Batch, work: Sequence[NewWork]) -> None:
    """The same within a deed."""
    for new in work:
        if new.hours <= 0 or new.rate < 0:
            raise Refused("Hours are above zero and a rate is not negative.")
        if new.power is not None and new.power <= 0:
            raise Refused("What draws power draws more than nothing: write its kW.")
        written(
            Work(
                deed=deed,
                batch=batch,
                kind=new.kind,
                hours=new.hours,
                rate=new.rate,
                person=new.person,
                equipment=new.equipment,
                power=new.power,
                on=deed.on,
            )
        )
