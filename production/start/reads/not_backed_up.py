"""What a loss of the database would take with it."""

from datetime import datetime

from django.db.models import Count, Min

from production.record.models.ink import Deed
from production.start.domain import Unsaved


def unsaved_after(through: datetime | None) -> Unsaved:
    """The deeds typed after that moment; all of them where there is none."""
    deeds = Deed.objects.order_by()
    if through is not None:
        deeds = deeds.filter(at__gt=through)
    found = deeds.aggregate(deeds=Count("pk"), since=Min("at"))
    return Unsaved(found["deeds"], found["since"])
