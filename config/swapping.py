"""A database is built whole beside the one that stands, and swapped in at a stroke.

SQLite only: a database is one file, with a log (``-wal``) and its index (``-shm``)
beside it while somebody has it open, or where somebody was killed.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

from django.db import connection

from production.quantities.domain.refusal import Refused

LEFTOVERS = ("-wal", "-shm", "-journal")


@contextmanager
def pointed_at(path: Path) -> Iterator[None]:
    """The house reads and writes the database at ``path`` inside."""
    named = connection.settings_dict["NAME"]
    connection.close()
    connection.settings_dict["NAME"] = str(path)
    try:
        yield
    finally:
        connection.close()
        connection.settings_dict["NAME"] = named


def into_one_file() -> None:
    """Everything of the open database into the one file that is moved."""
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA journal_mode=DELETE")


def beside(path: Path, ending: str) -> Path:
    return path.with_name(path.name + ending)


def stamp() -> str:
    """The moment in a name: ``20261128-190000``, by the clock of the world."""
    return f"{datetime.now(UTC):%Y%m%d-%H%M%S}"


def set_aside_as(path: Path) -> Path:
    """A free dated name beside it, for what stands there and is to be kept."""
    first = aside = beside(path, f".before-{stamp()}")
    count = 1
    while aside.exists():
        count += 1
        aside = beside(first, f"-{count}")
    return aside


def refuse_open(path: Path, then: str) -> None:
    """The last connection to close takes the log away; a server keeps it.

    ``then`` ends the sentence "stop that server, then ...".
    """
    if path.exists() and beside(path, "-wal").exists():
        raise Refused(f"Something else has {path} open: stop that server, then {then}.")


def clear(path: Path) -> None:
    """Take a database away that was built and not swapped in."""
    path.unlink(missing_ok=True)
    clear_beside(path)


def clear_beside(path: Path) -> None:
    """A log left over from a file long gone would be read into the new one."""
    for ending in LEFTOVERS:
        beside(path, ending).unlink(missing_ok=True)
