"""PostgreSQL: every table as it stands at one moment, and into an empty database.

The rows leave and come by COPY through the connection that the house has anyway: no
program beside it that has to be installed, and to be as new as the server. The tables
themselves are made by the migrations that the backup had seen.
"""

import re
from collections.abc import Iterator
from pathlib import Path

from django.apps import apps
from django.core.management import call_command
from django.core.management.color import no_style
from django.db import DatabaseError, connection, transaction
from django.db.migrations.executor import MigrationExecutor

from config.backups.after import make_ready
from config.backups.box import About, Box, Packing, chunks_of
from config.demo.as_built import RECORD, make_record
from config.demo_mark import made_by_the_demo
from production.quantities.domain.refusal import Refused
from production.record.models.ink import ink_tables, install_triggers, lift_triggers

# The framework keeps it itself, as the migrations run.
LEDGER = "django_migrations"
NAME = re.compile(r"[a-z_][a-z0-9_]*")


def copy_into(packing: Packing, workplace: Path) -> None:
    """All tables in one reading transaction; others read and write meanwhile."""
    with transaction.atomic(durable=True), connection.cursor() as cursor:
        cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
        _tell(cursor, packing.about)
        for table, columns in packing.about.columns.items():
            packing.put(f"tables/{table}.copy", _rows(cursor, table, columns))


def _tell(cursor, about: About) -> None:
    cursor.execute(f"SELECT app, name FROM {LEDGER} ORDER BY id")
    for app, name in cursor.fetchall():
        about.schema.setdefault(app, []).append(name)
    cursor.execute(
        "SELECT table_name, column_name FROM information_schema.columns "
        "JOIN information_schema.tables USING (table_schema, table_name) "
        "WHERE table_schema = current_schema() AND table_type = 'BASE TABLE' "
        "AND is_generated = 'NEVER' AND table_name <> %s "
        "ORDER BY table_name, ordinal_position",
        [LEDGER],
    )
    for table, column in cursor.fetchall():
        about.columns.setdefault(table, []).append(column)
    if "production_deed" in about.columns:
        cursor.execute("SELECT count(*), max(at) FROM production_deed")
        about.deeds, about.through = cursor.fetchone()
    if "demo" in about.columns.get("production_workshop", []):
        about.demo = made_by_the_demo()


def _rows(cursor, table: str, columns: list[str]) -> Iterator[bytes]:
    with cursor.copy(f"COPY {_named(table, columns)} TO STDOUT") as rows:
        for chunk in rows:
            yield bytes(chunk)


def _named(table: str, columns: list[str]) -> str:
    """Quoted; names of a file are not trusted further than they must be."""
    if not all(NAME.fullmatch(name) for name in (table, *columns)):
        raise Refused(f"This backup names a table that cannot be: {table}.")
    listed = ", ".join(f'"{column}"' for column in columns)
    return f'"{table}" ({listed})'


def prove(box: Box, workplace: Path) -> None:
    """Every part was read back with its digest; each table must have its part."""
    lacking = [t for t in box.about.tables if f"tables/{t}.copy" not in box.about.parts]
    if lacking:
        raise Refused(f"The backup lacks {', '.join(lacking)}.")


def refuse_where_it_cannot_go() -> None:
    """Only into an empty database: nothing on a server is moved aside or deleted."""
    try:
        tables = connection.introspection.table_names()
    except DatabaseError as fault:
        raise Refused(f"The database does not answer: {str(fault).strip()}") from fault
    if tables:
        raise Refused(
            f"The database {connection.settings_dict['NAME']} is not empty, and stays "
            "as it is. Make an empty one, such as createdb kettlebook2, name it in "
            "DATABASE_URL, and restore again."
        )


def of_demo_as_it_stands() -> bool | None:
    """Nothing tells: it goes into an empty database only."""
    return None


def swap_in(box: Box) -> list[str]:
    """All in one transaction: until it ends the database is empty, then it is whole."""
    with transaction.atomic(durable=True):
        refuse_where_it_cannot_go()
        _make_tables(box.about)
        _fill(box)
        call_command("migrate", verbosity=0, interactive=False)
        make_ready(box.about)
    return []


def _make_tables(about: About) -> None:
    """As the backup knew them; what is newer comes after the rows."""
    executor = MigrationExecutor(connection)
    last = [(app, names[-1]) for app, names in about.schema.items()]
    executor.migrate([node for node in last if node in executor.loader.graph.nodes])


def _fill(box: Box) -> None:
    ours = [table for table in box.about.tables if table != LEDGER]
    with connection.cursor() as cursor:
        if RECORD in ours:
            make_record(cursor)
        standing = set(connection.introspection.table_names(cursor))
        if lacking := set(ours) - standing:
            raise Refused(f"No table is known here for {', '.join(sorted(lacking))}.")
        guarded = sorted(standing & set(ink_tables()))
        lift_triggers(connection, guarded)
        # What the migrations wrote by themselves stands in the backup too.
        names = ", ".join(f'"{table}"' for table in ours)
        cursor.execute(f"TRUNCATE {names}")
        # The migrations have asked for some of them at once.
        cursor.execute("SET CONSTRAINTS ALL DEFERRED")
        for table in ours:
            with box.part(f"tables/{table}.copy") as part:
                order = f"COPY {_named(table, box.about.columns[table])} FROM STDIN"
                with cursor.copy(order) as rows:
                    for chunk in chunks_of(part):
                        rows.write(chunk)
        # Every row finds the one it points at, or nothing is restored.
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
        cursor.execute("SET CONSTRAINTS ALL DEFERRED")
        models = apps.get_models(include_auto_created=True)
        there = [model for model in models if model._meta.db_table in set(ours)]
        for order in connection.ops.sequence_reset_sql(no_style(), there):
            cursor.execute(order)
    install_triggers(connection, guarded)
