"""What an owner is told of the last backup."""

from dataclasses import dataclass

from django.conf import settings
from django.utils import timezone

from production.record.actions.people import is_owner
from production.record.models.workshop import Workshop
from production.record.reads.clock import at_home
from production.start.domain import asks, entries
from production.start.files import last_saved
from production.start.reads.not_backed_up import unsaved_after


@dataclass(frozen=True)
class AboutBackup:
    """One sentence or two, and whether a backup is asked for."""

    says: str
    asks: bool


def about_backup(user):
    """For owners; None for others, for a demo, and where there is nothing to lose."""
    if not is_owner(user) or Workshop.objects.filter(demo=True).exists():
        return None
    last = last_saved(settings.HOME)
    unsaved = unsaved_after(last.through if last else None)
    if last is None and not unsaved.deeds:
        return None
    return AboutBackup(_says(last, unsaved.deeds), asks(unsaved, timezone.now()))


def _says(last, deeds):
    history = entries(deeds)
    if last is None:
        return f"This book has no backup yet; its history has {history}."
    when = f"{at_home(last.taken_at):%Y-%m-%d %H:%M}"
    if not deeds:
        return f"The last backup is of {when}; nothing was written since."
    return f"The last backup is of {when}; the history has {history} more."
