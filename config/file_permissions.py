"""The book's files are read by their owner only: they hold names of people."""

import contextlib
import os
from collections.abc import Iterator
from pathlib import Path

from config.swapping import LEFTOVERS, beside

FOLDERS = ("attachments", "uploads", "backups")
FILE, FOLDER = 0o600, 0o700


def keep_to_the_owner(home: Path, database: Path | None) -> None:
    """What this process makes, and what stands here already.

    ``database`` is the file of it, None on a server. What belongs to somebody else
    stays as it is.
    """
    os.umask(0o077)
    for path in _kept(home, database):
        with contextlib.suppress(OSError):
            if path.stat().st_mode & 0o077 and not path.is_symlink():
                path.chmod(FOLDER if path.is_dir() else FILE)


def _kept(home: Path, database: Path | None) -> Iterator[Path]:
    if database is not None:
        yield database
        yield from (beside(database, ending) for ending in LEFTOVERS)
    for name in FOLDERS:
        yield home / name
        yield from (home / name).rglob("*")
