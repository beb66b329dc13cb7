"""A demo is built whole beside what is there and swapped in, or not at all."""

from collections.abc import Callable
from pathlib import Path

from django.conf import settings
from django.core.management import call_command
from django.db import DatabaseError, connection, transaction

from config.demo.as_built import note_as_built, written_by_others
from config.demo_mark import made_by_the_demo
from config.open_lock import alone
from config.swapping import (
    beside,
    clear,
    clear_beside,
    into_one_file,
    pointed_at,
    refuse_open,
    set_aside_as,
    stamp,
)
from production.quantities.domain.refusal import Refused

AGAIN = "build the demo again"
ELSEWHERE = (
    "The demo goes into a folder of its own, .demo beside manage.py or the one that "
    "KETTLEBOOK_DEMO_HOME names; where DATABASE_URL is set, only into an empty "
    "database. Unset it, or name such a one."
)
ON_WITH_IT = (
    "Nothing was changed. To look at it as it stands: python manage.py demo --keep. "
    "To build a new demo and keep this one under another name: python manage.py demo "
    "--set-aside."
)


def build(fill: Callable[[], None], *, keep_old: bool = False) -> str:
    """Put a freshly filled demo where the configured database is.

    Returns what the one that stood there is called now, "" where none was kept.
    Refused, with nothing changed, where something stands that the demo did not make,
    and, without ``keep_old``, where anybody else wrote in it.
    """
    if connection.vendor == "sqlite":
        with alone(Path(settings.HOME)):
            return _swap_file(fill, keep_old)
    if connection.vendor == "postgresql":
        return _swap_schema(fill, keep_old)
    raise Refused("The demo stands on SQLite or PostgreSQL only.")


def _swap_file(fill: Callable[[], None], keep_old: bool) -> str:
    target = Path(connection.settings_dict["NAME"])
    _judge_file(target, keep_old)
    fresh = beside(target, ".demo-new")
    clear(fresh)
    aside = None
    try:
        with pointed_at(fresh):
            _migrate_and(fill)
            into_one_file()
        # Building takes a while: another program may have written meanwhile.
        if _judge_file(target, keep_old) and keep_old:
            aside = set_aside_as(target)
        clear_beside(target)
        if aside:
            target.rename(aside)
        fresh.replace(target)
    finally:
        clear(fresh)
    return str(aside or "")


def _judge_file(target: Path, keep_old: bool) -> bool:
    """Whether an old demo stands there; Refused where it may not go."""
    if not target.exists():
        return False
    try:
        stands = refuse_what_is_not_the_demos(keep_old)
    finally:
        connection.close()
    refuse_open(target, AGAIN)
    return stands


def _swap_schema(fill: Callable[[], None], keep_old: bool) -> str:
    """All in one transaction: the old demo stands until the new one is whole."""
    try:
        connection.ensure_connection()
    except DatabaseError as fault:
        raise Refused(f"The database does not answer: {str(fault).strip()}") from fault
    aside = ""
    with transaction.atomic():
        if refuse_what_is_not_the_demos(keep_old):
            # Nobody writes between the look and the new demo.
            _lock_all()
            refuse_what_is_not_the_demos(keep_old)
            aside = clear_schema(keep_old)
        _migrate_and(fill)
    return aside


def _lock_all() -> None:
    names = connection.introspection.table_names()
    quoted = ", ".join(connection.ops.quote_name(name) for name in names)
    with connection.cursor() as cursor:
        cursor.execute(f"LOCK TABLE {quoted} IN SHARE ROW EXCLUSIVE MODE")


def clear_schema(keep_old: bool) -> str:
    """Make room on PostgreSQL; returns the schema in which the old demo is kept."""
    aside = f"before_{stamp().replace('-', '_')}" if keep_old else ""
    with connection.cursor() as cursor:
        cursor.execute(
            f"ALTER SCHEMA public RENAME TO {aside}"
            if keep_old
            else "DROP SCHEMA public CASCADE"
        )
        cursor.execute("CREATE SCHEMA public")
    return aside and f"schema {aside}"


def _migrate_and(fill: Callable[[], None]) -> None:
    call_command("migrate", verbosity=0, interactive=False)
    fill()
    note_as_built()


def refuse_what_is_not_the_demos(keep_old: bool) -> bool:
    """Whether a demo stands here that may go; an empty database holds none.

    With ``keep_old`` it is not lost, so it does not matter who wrote in it.
    """
    try:
        if not connection.introspection.table_names(include_views=True):
            return False
        demo = made_by_the_demo()
        wrote = written_by_others() if demo and not keep_old else ""
    except DatabaseError as fault:
        raise Refused(
            "The database cannot be read as one of Kettlebook, so it is left alone: "
            f"{str(fault).strip()}. {ELSEWHERE}"
        ) from fault
    if not demo:
        raise Refused(
            "A database stands here that the demo did not make; nothing was changed. "
            + ELSEWHERE
        )
    if wrote:
        raise Refused(f"{wrote} {ON_WITH_IT}")
    return True
