"""The business date."""

from datetime import date
from zoneinfo import ZoneInfo

from django.utils import timezone

from production.models import Workshop


def today() -> date:
    """Today in the workshop's zone."""
    zone = Workshop.objects.values_list("zone", flat=True).first() or "UTC"
    return timezone.now().astimezone(ZoneInfo(zone)).date()
