"""What every process does before it touches the book: commands and servers alike."""

import sys
from pathlib import Path

from django.conf import settings
from django.core.exceptions import ImproperlyConfigured
from django.core.management import execute_from_command_line

from config.holding import hold
from config.own_eyes import keep_to_the_owner
from production.domain.refusal import Refused
from production.domain.room import no_room


def open_home() -> None:
    """Hold the book, and keep its files from other eyes; Refused during a restore."""
    keep_to_the_owner(settings.HOME, database_file())
    hold(settings.HOME)


def database_file() -> Path | None:
    """The file of the database, None where a server keeps it."""
    named = settings.DATABASES["default"]
    return Path(named["NAME"]) if named["ENGINE"].endswith("sqlite3") else None


def run_command(argv: list[str]) -> None:
    """A command of the house or of the framework; a full disk is said in words."""
    try:
        open_home()
        execute_from_command_line(argv)
    except (Refused, ImproperlyConfigured) as refusal:
        sys.exit(str(refusal))
    except Exception as fault:
        if says := no_room(fault):
            sys.exit(says)
        raise
