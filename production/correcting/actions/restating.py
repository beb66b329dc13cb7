"""Figures that a deed said anew, without that deed."""

from production.record.actions.restating import follow
from production.record.models.ink import Deed, Restated
from production.record.reads.restated import OF
from production.stock.models.batches import Batch
from production.stock.models.lots import Movement


def put_back(undone: Deed) -> set[Batch]:
    """The headers of which a deed said something anew, without that deed.

    Called within the deed that takes it back, which stands written by then. Gives the
    batches whose grams are others by it: they are judged again.
    """
    reached: set[Batch] = set()
    rows = Restated.objects.filter(deed=undone).order_by("of", "row", "field")
    for of, row, field in rows.values_list("of", "row", "field"):
        follow(of, row)
        if of == OF.LOSS:
            reached |= set(Batch.objects.filter(losses=row))
        elif (of, field) == (OF.LOT, "net_mass"):
            entries = Movement.objects.standing().filter(lot=row)
            reached |= set(Batch.objects.filter(movements__in=entries))
    return reached
