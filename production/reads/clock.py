"""The business date."""

from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.utils import timezone

from production.models import Workshop


def today() -> date:
    """Today in the workshop's zone."""
    return at_home(timezone.now()).date()


def at_home(moment: datetime) -> datetime:
    """A moment as the workshop's own clock shows it."""
    zone = Workshop.objects.values_list("zone", flat=True).first() or "UTC"
    return moment.astimezone(ZoneInfo(zone))


def told_at(moment: datetime) -> str:
    """``at 10:12``, with its day where that is not today's."""
    then = at_home(moment)
    day = "" if then.date() == today() else f"on {then:%Y-%m-%d} "
    return f"{day}at {then:%H:%M}"
