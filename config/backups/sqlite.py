"""SQLite: the database is copied while it is served, and swapped as one file."""

import os
import shutil
import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

from django.core.management import call_command
from django.db import connection

from config.backups.after import make_ready
from config.backups.box import DATABASE, About, Box, Packing, chunks_of
from config.health import unapplied
from config.swapping import (
    LEFTOVERS,
    beside,
    clear,
    clear_beside,
    into_one_file,
    pointed_at,
    refuse_open,
    set_aside_as,
)
from production.papers.files.atomic import move, settle, settle_names
from production.quantities.domain.refusal import Refused

AGAIN = "restore again"


def copy_into(packing: Packing, workplace: Path) -> None:
    """The database as it stands at one moment; others read and write meanwhile."""
    copy = workplace / DATABASE
    connection.ensure_connection()
    with closing(sqlite3.connect(copy)) as to:
        connection.connection.backup(to)
        to.execute("PRAGMA journal_mode=DELETE")
        _tell(to, packing.about)
    with copy.open("rb") as file:
        packing.put(DATABASE, chunks_of(file))
    copy.unlink()


def _tell(copy: sqlite3.Connection, about: About) -> None:
    for app, name in copy.execute(
        "SELECT app, name FROM django_migrations ORDER BY id"
    ):
        about.schema.setdefault(app, []).append(name)
    if "production" in about.schema:
        found = copy.execute("SELECT count(*), max(at) FROM production_deed").fetchone()
        about.deeds, last = found
        if last:
            about.through = datetime.fromisoformat(last).replace(tzinfo=UTC)
    about.demo = bool(_of_demo(copy))


def of_demo_as_it_stands() -> bool | None:
    """Whether the demo made the file that stands here, None where nothing tells.

    Read as it lies, without its log, which stays as it was found.
    """
    target = Path(connection.settings_dict["NAME"])
    if not target.exists():
        return None
    try:
        address = f"{target.absolute().as_uri()}?mode=ro&immutable=1"
        with closing(sqlite3.connect(address, uri=True)) as database:
            return _of_demo(database)
    except sqlite3.DatabaseError:
        return None


def _of_demo(database: sqlite3.Connection) -> bool | None:
    cards = "SELECT name FROM pragma_table_info('production_workshop')"
    if ("demo",) not in database.execute(cards).fetchall():
        return None
    row = database.execute("SELECT demo FROM production_workshop").fetchone()
    return bool(row[0]) if row else None


def prove(box: Box, workplace: Path) -> None:
    """Read the database in a backup back; Refused where it is not sound."""
    copy = workplace / DATABASE
    box.take_out(DATABASE, copy)
    if faults := unsound(copy):
        raise Refused(
            f"The database is damaged ({faults}), so no backup was made of it. Keep "
            "the last good backup, and restore from it."
        )
    copy.unlink()


def unsound(path: Path) -> str:
    """What SQLite finds wrong in a database file, "" for nothing."""
    try:
        with closing(sqlite3.connect(path)) as database:
            says = [row[0] for row in database.execute("PRAGMA integrity_check(3)")]
    except sqlite3.DatabaseError as fault:
        return str(fault)
    return "" if says == ["ok"] else "; ".join(says)


def refuse_where_it_cannot_go() -> None:
    """Any place will do: what stands there is set aside."""


def swap_in(box: Box) -> list[str]:
    """Build the database beside the one that stands, then put it there at a stroke.

    Tells what was set aside. Killed at any point the old one stands, or the new one.
    """
    target = Path(connection.settings_dict["NAME"])
    target.parent.mkdir(parents=True, exist_ok=True)
    fresh = beside(target, ".restored")
    clear(fresh)
    try:
        box.take_out(DATABASE, fresh)
        if faults := unsound(fresh):
            raise Refused(f"The database in this backup is damaged: {faults}.")
        with pointed_at(fresh):
            if unapplied():
                call_command("migrate", verbosity=0, interactive=False)
            make_ready(box.about)
            into_one_file()
        settle(fresh)
        aside = set_aside(target)
        clear_beside(target)
        move(fresh, target)
    finally:
        clear(fresh)
    return aside


def set_aside(target: Path) -> list[str]:
    """Copy what stands there, log and all, under a dated name; then fold the log in.

    What was found is kept as it was found. The log is folded into the standing file
    afterwards, so that this one is whole without it until the new one takes its place.
    """
    found = [end for end in ("", *LEFTOVERS) if beside(target, end).exists()]
    if not found:
        return []
    aside = set_aside_as(target)
    half = beside(target, ".setting-aside")
    # The database itself comes last: where it stands, all of it does.
    for end in reversed(found):
        shutil.copyfile(beside(target, end), half)
        settle(half)
        os.chmod(half, 0o600)  # noqa: PTH101
        move(half, beside(aside, end))
    if target.exists() and found != [""]:
        _fold(target)
        refuse_open(target, AGAIN)
    settle_names(target.parent)
    return [beside(aside, end).name for end in found]


def _fold(target: Path) -> None:
    """The last to close it takes the log in; a damaged file is left as it is."""
    try:
        with closing(sqlite3.connect(target, timeout=1)) as database:
            database.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
    except sqlite3.OperationalError as fault:
        if "locked" in str(fault):
            raise Refused(
                f"Something else has {target} open: stop it, then {AGAIN}."
            ) from fault
        clear_beside(target)
    except sqlite3.DatabaseError:
        clear_beside(target)
