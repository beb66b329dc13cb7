"""``backup``: one file of everything, proved before it is called made."""

import contextlib
import os
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from pathlib import Path

from django.conf import settings
from django.db import connection
from django.utils import timezone

from config.backups import postgres, sqlite
from config.backups.box import About, Packing, opened, pack
from config.backups.papers import put_papers
from config.open_lock import alone
from config.opening import NO_BOOK
from production.papers.domain.disk_full import FullElsewhere, no_room
from production.papers.files.atomic import move, settle
from production.quantities.domain.refusal import Refused
from production.start.domain import Saved, entries
from production.start.files import note_saved

ENGINES = {"sqlite": sqlite, "postgresql": postgres}
ANOTHER = "Another backup is being made here. Wait until it is done."
HALF = ".half-"


def back_up(named: str | None) -> str:
    """Write a backup and tell where it is; a file that is there is never replaced.

    ``named`` is a file, a folder to put it into, or nothing for the home folder.
    """
    if connection.vendor not in ENGINES:
        raise Refused("A backup is made of SQLite or PostgreSQL only.")
    if "django_migrations" not in connection.introspection.table_names():
        raise Refused(NO_BOOK)
    home = Path(settings.HOME)
    about = About(timezone.now(), settings.VERSION, connection.vendor)
    path = _place(named, home, about)
    with alone(home, ".backing-up", ANOTHER):
        _sweep(path.parent)
        with _said_of(path):
            workplace = Path(tempfile.mkdtemp(prefix=HALF, dir=path.parent))
            try:
                changed = _make(about, workplace, home, path)
            finally:
                shutil.rmtree(workplace, ignore_errors=True)
    note_saved(home, Saved(about.taken_at, about.through, str(path)))
    return "\n".join([_told(about, path), *_elsewhere(path, home), *_damaged(changed)])


@contextlib.contextmanager
def _said_of(path: Path) -> Iterator[None]:
    """A fault of the disk in words: everything is written beside ``path``."""
    try:
        yield
    except (OSError, sqlite3.OperationalError) as fault:
        if no_room(fault):
            raise FullElsewhere(
                f"The disk of {path.parent} is full: no backup was made. Make room "
                "there, or name a folder on another disk."
            ) from fault
        if isinstance(fault, OSError):
            raise Refused(
                f"No backup was made in {path.parent}: {fault.strerror} "
                f"({fault.filename}). Name another folder, or put that right."
            ) from fault
        raise


def _make(about: About, workplace: Path, home: Path, path: Path) -> list[str]:
    """Packed, settled, read back and proved under a name of its own; then named."""
    engine, half, changed = ENGINES[about.engine], workplace / path.name, []

    def fill(packing: Packing) -> None:
        # Papers come after the rows that speak of them: none is lacking.
        engine.copy_into(packing, workplace)
        changed.extend(put_papers(packing, home))

    pack(half, about, fill)
    # A stick may know no owners.
    with contextlib.suppress(OSError):
        half.chmod(0o600)
    settle(half)
    with opened(half) as box:
        engine.prove(box, workplace)
    if path.exists():
        raise Refused(_is_there(path))
    move(half, path)
    return changed


def _place(named: str | None, home: Path, about: About) -> Path:
    name = f"kettlebook-{about.taken_at:%Y-%m-%d-%H%M%S}.zip"
    if named is None:
        folder = home / "backups"
        folder.mkdir(mode=0o700, exist_ok=True)
        return folder / name
    path = Path(named).expanduser().resolve()
    if path.is_dir():
        path /= name
    if path.exists():
        raise Refused(_is_there(path))
    if not path.parent.is_dir():
        raise Refused(f"There is no folder {path.parent}: make it first.")
    if not os.access(path.parent, os.W_OK):
        raise Refused(f"The folder {path.parent} cannot be written.")
    return path


def _is_there(path: Path) -> str:
    return f"{path} is there already, and stays as it is. Name another file."


def _sweep(folder: Path) -> None:
    """What a backup that was killed had begun here."""
    for old in folder.glob(f"{HALF}*"):
        shutil.rmtree(old, ignore_errors=True)


def _told(about: About, path: Path) -> str:
    return (
        f"Made and read back: {path}\nIts history has {entries(about.deeds)}; attached "
        f"files: {len(about.papers):,}. As of {about.taken_at:%Y-%m-%d %H:%M} UTC, "
        f"Kettlebook {about.kettlebook}."
    )


def _elsewhere(path: Path, home: Path) -> list[str]:
    if path.parent.stat().st_dev != home.stat().st_dev:
        return []
    return [
        "It lies on the same disk as the book, and would be lost with it: copy it to "
        "another disk, away from this computer."
    ]


def _damaged(changed: list[str]) -> list[str]:
    if not changed:
        return []
    return [
        f"Attached files that changed on the disk since they were attached: "
        f"{len(changed):,}; python manage.py audit names them."
    ]
