"""The business date."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import UTC, date, timedelta
from zoneinfo import ZoneInfo

from django.utils import timezone

from production.models import Workshop

_told_by: ContextVar[date] = ContextVar("_told_by", default=date.min)


def today() -> date:
    """Today in the workshop's zone."""
    zone = Workshop.objects.values_list("zone", flat=True).first() or "UTC"
    return max(timezone.now().astimezone(ZoneInfo(zone)).date(), _told_by.get())


@contextmanager
def told_by(day: date) -> Iterator[None]:
    """Tell an invented past up to that day, whatever the clock of the machine says."""
    mark = _told_by.set(day)
    try:
        yield
    finally:
        _told_by.reset(mark)


def is_to_come(on: date) -> bool:
    """Whether that day has not begun in the workshop's zone.

    No zone is a whole day behind another, so that only near days ask which it is.
    """
    if on < timezone.now().astimezone(UTC).date() - timedelta(days=1):
        return False
    return on > today()
