"""Causes for which a lot is held and that nobody has answered."""

from collections.abc import Iterable

from django.db.models import Q

from production.stock.models.holds import Hold
from production.stock.models.lots import Lot


def standing_holds(lots: Iterable[Lot]) -> list[Hold]:
    """Causes that nobody has answered, of these lots or of their batches."""
    rows = list(lots)
    batches = [lot.batch_id for lot in rows if lot.batch_id]
    found = Hold.objects.filter(Q(lot__in=rows) | Q(batch__in=batches))
    return list(found.unanswered().select_related("deed__by"))
