"""A demo is built whole beside what is there and swapped in, or not at all."""

from collections.abc import Callable
from pathlib import Path

from django.contrib.auth import get_user_model
from django.core.management import call_command
from django.db import DatabaseError, connection, transaction

from config.swapping import clear, clear_beside, into_one_file, pointed_at, refuse_open
from production.domain.refusal import Refused
from production.models import Lot, Workshop

AGAIN = "build the demo again"


def build(fill: Callable[[], None]) -> None:
    """Put a freshly filled database where the configured one is.

    Refused, with nothing changed, where a workshop stands that is not a demo.
    """
    if connection.vendor == "sqlite":
        _swap_file(fill)
    elif connection.vendor == "postgresql":
        _swap_schema(fill)
    else:
        raise Refused("The demo stands on SQLite or PostgreSQL only.")


def _swap_file(fill: Callable[[], None]) -> None:
    target = Path(connection.settings_dict["NAME"])
    if target.exists():
        refuse_what_is_not_a_demo()
        connection.close()
        refuse_open(target, AGAIN)
    fresh = target.with_name(f"{target.name}.demo-new")
    clear(fresh)
    try:
        with pointed_at(fresh):
            _migrate_and(fill)
            into_one_file()
        refuse_open(target, AGAIN)
        clear_beside(target)
        fresh.replace(target)
    finally:
        clear(fresh)


def _swap_schema(fill: Callable[[], None]) -> None:
    """All in one transaction: others see the old demo until the new one is whole."""
    try:
        connection.ensure_connection()
    except DatabaseError as fault:
        raise Refused(f"The database does not answer: {str(fault).strip()}") from fault
    with transaction.atomic():
        refuse_what_is_not_a_demo()
        with connection.cursor() as cursor:
            cursor.execute("DROP SCHEMA public CASCADE")
            cursor.execute("CREATE SCHEMA public")
        _migrate_and(fill)


def _migrate_and(fill: Callable[[], None]) -> None:
    call_command("migrate", verbosity=0, interactive=False)
    fill()


def refuse_what_is_not_a_demo() -> None:
    """An empty database or a demo may go; anything else is somebody's."""
    try:
        tables = connection.introspection.table_names()
        if not tables:
            return
        marks = list(Workshop.objects.values_list("demo", flat=True))
        if marks == [True]:
            return
        if not marks and not Lot.objects.exists() and not _people().exists():
            return
    except DatabaseError as fault:
        raise Refused(
            "The database cannot be read as one of Kettlebook, so it is left alone: "
            f"{str(fault).strip()}. {ELSEWHERE}"
        ) from fault
    raise Refused(
        f"There is a workshop here that is not a demo; nothing was changed. {ELSEWHERE}"
    )


ELSEWHERE = "Set KETTLEBOOK_HOME (or DATABASE_URL) to another place for the demo."


def _people():
    return get_user_model().objects
