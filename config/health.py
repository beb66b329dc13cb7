"""Is the house fit to serve?"""

from django.contrib.auth.decorators import login_not_required
from django.db import DatabaseError, connection
from django.db.migrations.executor import MigrationExecutor
from django.http import HttpResponse


def unapplied() -> list[str]:
    """Name the migrations that the database has not seen yet."""
    executor = MigrationExecutor(connection)
    plan = executor.migration_plan(executor.loader.graph.leaf_nodes())
    return [f"{migration.app_label}.{migration.name}" for migration, _ in plan]


@login_not_required
def healthz(request):
    """Say ok, or 503 and why."""
    try:
        waiting = unapplied()
    except DatabaseError:
        return HttpResponse("The database does not answer.\n", "text/plain", 503)
    if waiting:
        return HttpResponse("Migrations are unapplied.\n", "text/plain", 503)
    return HttpResponse("ok\n", "text/plain")
