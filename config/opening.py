"""What every process does before it touches the book: commands and servers alike."""

import sys
from pathlib import Path

from django.conf import settings
from django.core.exceptions import ImproperlyConfigured
from django.core.management import execute_from_command_line
from django.db import connection

from config.file_permissions import keep_to_the_owner
from config.open_lock import hold
from config.swapping import beside
from production.papers.domain.disk_full import no_room
from production.quantities.domain.refusal import Refused

NO_BOOK = "No book stands here: run python manage.py migrate first."
# They make a database where there is none; ``demo`` asks for its own.
BEGIN = {"migrate", "restore", "demo"}
# They ask no database, or may go without one.
WITHOUT = {"help", "check", "makemigrations", "saponify", "test", "version"}
# A log that SQLite reads into its file, or takes away where that is a new one.
LOGS = ("-wal", "-journal")


def open_home(command: str = "serve") -> None:
    """Hold the book, and keep its files from other eyes.

    Refused during a restore, and where opening it would make an empty database.
    """
    file = database_file()
    keep_to_the_owner(settings.HOME, file)
    hold(settings.HOME)
    if file is None or file.exists():
        return
    if command != "restore" and command not in WITHOUT:
        refuse_log_alone(file)
    if command not in BEGIN | WITHOUT:
        raise Refused(NO_BOOK)


def refuse_log_alone(file: Path) -> None:
    """A new database beside an old log takes the log away, and the last deeds in it."""
    for log in (beside(file, ending) for ending in LOGS):
        if log.exists() and log.stat().st_size:
            raise Refused(
                f"The database {file} is missing, and its log {log.name} is still "
                "here, with the last entries in it. Nothing was changed. Put the file "
                "back beside it, or restore a backup, which sets the log aside."
            )


def database_file() -> Path | None:
    """The file of the database, None where a server or the memory keeps it."""
    if connection.vendor != "sqlite" or connection.is_in_memory_db():
        return None
    return Path(connection.settings_dict["NAME"])


def run_command(argv: list[str]) -> None:
    """A command of the house or of the framework; a full disk is said in words."""
    try:
        command = named(argv[1:])
        open_home(command)
        execute_from_command_line(argv)
        if command == "migrate":
            _stop_at_other_values()
    except (Refused, ImproperlyConfigured) as refusal:
        sys.exit(str(refusal))
    except Exception as fault:
        if says := no_room(fault):
            sys.exit(says)
        raise


def _stop_at_other_values() -> None:
    """An upgrade whose sums come to other values than are kept says so and stops."""
    from config.health import unapplied
    from costing.actions.keeping import refuse_other_values

    if not unapplied():
        refuse_other_values(settings.VERSION)


def named(words: list[str]) -> str:
    """Which command is asked for; ``demo restore`` puts back, other words of it not."""
    if not words or {"-h", "--help", "--version"} & set(words):
        return "help"
    return "restore" if words[:2] == ["demo", "restore"] else words[0]
