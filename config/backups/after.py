"""What a book that was put back needs before anybody opens it."""

from django.db import connection
from django.utils import timezone

from config.backups.box import About
from production.record.models.ink import ink_tables, install_triggers, missing_triggers
from production.restoring.actions import note_restored


def make_ready(about: About) -> None:
    """Ink guarded, and the book told; inside the database before it is swapped in."""
    if missing_triggers(connection):
        install_triggers(connection, ink_tables())
    # From now on it asks about what was done after the backup, and is gone.
    note_restored(taken_at=about.taken_at, restored_at=timezone.now())
