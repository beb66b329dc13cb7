"""The business date."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.utils import timezone

from production.record.models.workshop import Workshop

_told_by: ContextVar[date] = ContextVar("_told_by", default=date.min)


def today() -> date:
    """Today in the workshop's zone."""
    return max(at_home(timezone.now()).date(), _told_by.get())


def at_home(moment: datetime) -> datetime:
    """A moment as the workshop's own clock shows it."""
    zone = Workshop.objects.values_list("zone", flat=True).first() or "UTC"
    return moment.astimezone(ZoneInfo(zone))


def told_at(moment: datetime) -> str:
    """``at 10:12``, with its day where that is not today's."""
    then = at_home(moment)
    day = "" if then.date() == today() else f"on {then:%Y-%m-%d} "
    return f"{day}at {then:%H:%M}"


def minute_of(moment: datetime) -> str:
    """``2026-03-02 at 14:10`` by the workshop's clock."""
    return f"{at_home(moment):%Y-%m-%d at %H:%M}"


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
