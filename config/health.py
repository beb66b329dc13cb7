"""Is the house fit to serve?"""

import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.db import DatabaseError, OperationalError, connection, transaction
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder
from django.http import HttpResponse

from production.quantities.domain.refusal import Refused

# Room for a few of the largest papers (config/serving.py) and for the log beside them.
LEAST_ROOM = 128 * 2**20
NEWER = "The database was migrated by a newer Kettlebook: install that one."


def unapplied() -> list[str]:
    """Name the migrations that the database has not seen yet."""
    executor = MigrationExecutor(connection)
    plan = executor.migration_plan(executor.loader.graph.leaf_nodes())
    return [f"{migration.app_label}.{migration.name}" for migration, _ in plan]


def unknown(applied: dict[str, list[str]] | None = None) -> list[str]:
    """Name what the database has seen and this Kettlebook has not: it is newer.

    ``applied`` are migrations by app, those of the open database where left out.
    """
    if applied is None:
        pairs = set(MigrationRecorder(connection).applied_migrations())
    else:
        pairs = {(app, name) for app, names in applied.items() for name in names}
    loader = MigrationLoader(None, ignore_no_migrations=True)
    known = set(loader.disk_migrations)
    known |= {old for new in loader.replacements.values() for old in new.replaces}
    return sorted(f"{app}.{name}" for app, name in pairs - known)


def refuse_unfit() -> None:
    """Serving waits until the schema is the one that this Kettlebook knows."""
    try:
        waiting = unapplied()
        newer = unknown()
    except DatabaseError as fault:
        raise Refused(f"The database does not answer: {fault}") from fault
    if waiting:
        raise Refused(
            f"The database waits for: {', '.join(waiting)}. Run python manage.py "
            "migrate."
        )
    if newer:
        raise Refused(f"{NEWER} It knows {', '.join(newer)}.")


@login_not_required
def healthz(request):
    """Say ok, or 503 and each thing that fails."""
    faults = list(_faults())
    if faults:
        text = "".join(f"{fault}\n" for fault in faults)
        return HttpResponse(text, "text/plain", 503)
    return HttpResponse("ok\n", "text/plain")


def _faults() -> Iterator[str]:
    try:
        if unapplied():
            yield "Migrations are unapplied."
        if unknown():
            yield NEWER
        if not _can_be_written():
            yield "The database cannot be written."
    except DatabaseError:
        yield "The database does not answer."
    places = {Path(settings.HOME)}
    if connection.vendor == "sqlite" and not connection.is_in_memory_db():
        places.add(Path(connection.settings_dict["NAME"]).parent)
    if any(shutil.disk_usage(place).free < LEAST_ROOM for place in places):
        yield "The disk is almost full."
    try:
        for place in places:
            with tempfile.TemporaryFile(dir=place) as file:
                file.write(b"ok")
    except OSError:
        yield "The home folder cannot be written."


def _can_be_written() -> bool:
    """Asked without writing anything; somebody else's writing is a yes."""
    try:
        with transaction.atomic(), connection.cursor() as cursor:
            if connection.vendor == "postgresql":
                cursor.execute("SHOW transaction_read_only")
                return cursor.fetchone() == ("off",)
            # A transaction begins by taking the lock, which a read-only file refuses.
    except OperationalError as fault:
        if "locked" in str(fault):
            return True
        if "readonly" in str(fault):
            return False
        raise
    return True
