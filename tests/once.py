"""What many tests look at is built once, and gone after each of them.

``built_once`` keeps it in the database for a whole class. Each test still writes into a
transaction of its own on top of it, and changes only its own copy of the objects:
``deepcopy`` them in a fixture that asks for ``db`` as well.

``remembered`` is for what many modules set out: from the second time on its rows are
laid down as they came to be, without the deeds that wrote them.
"""

import functools
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from copy import deepcopy
from typing import Any

import pytest
from django.apps import apps
from django.db import connection, transaction

from production.record.reads.clock import today


@contextmanager
def for_a_while(blocker: Any) -> Iterator[None]:
    """What is written inside is rolled back at the end."""
    with blocker.unblock(), transaction.atomic():
        yield
        transaction.set_rollback(True)


def built_once(build: Callable[[], Any]) -> Any:
    """A fixture of a class: what ``build`` gives, with its rows in the database."""

    @pytest.fixture(scope="class")
    def built(django_db_setup, django_db_blocker):
        with for_a_while(django_db_blocker):
            yield build()

    return built


HOUSE = ("production", "costing", "labels")
PEOPLE = ("auth_group", "auth_user", "auth_user_groups")


def remembered(build: Callable[..., Any]) -> Callable[..., Any]:
    """``build``, which writes into an empty book, and lays no file by.

    A book that is not empty, other published tables, other people or another day are
    another start. PostgreSQL is told everything anew: that is what it is tried for.
    """
    known: dict[Any, tuple[dict[str, list[Any]], Any]] = {}

    @functools.wraps(build)
    def built(*words: Any, **facts: Any) -> Any:
        start = _empty_book() if _can_be_laid_down() else None
        key = (start, words, tuple(sorted(facts.items())))
        if start is None or not _is_a_key(key):
            return build(*words, **facts)
        if key not in known:
            given = build(*words, **facts)
            known[key] = _rows(start), deepcopy(given)
            return given
        rows, given = known[key]
        for order, values in rows.items():
            connection.connection.executemany(order, values)
        return deepcopy(given)

    return built


def _can_be_laid_down() -> bool:
    """Row after row, whatever points at what: that is looked at in the end."""
    return connection.vendor == "sqlite" and connection.in_atomic_block


def _is_a_key(words: Any) -> bool:
    try:
        hash(words)
    except TypeError:
        return False
    return True


@functools.cache
def _tables() -> list[str]:
    return [
        model._meta.db_table
        for app in HOUSE
        for model in apps.get_app_config(app).get_models(include_auto_created=True)
        if model._meta.managed
    ]


def _empty_book() -> Any:
    """What may stand beside an empty book; None if it is not empty."""
    counts = ", ".join(f"(SELECT count(*) FROM {table})" for table in _tables())
    with connection.cursor() as cursor:
        cursor.execute("SELECT EXISTS (SELECT 1 FROM production_deed)")
        if cursor.fetchone()[0]:
            return None
        cursor.execute(f"SELECT {counts}")
        counted = dict(zip(_tables(), cursor.fetchone(), strict=True))
        published = {name: counted.pop(name) for name in _published()}
        if any(counted.values()):
            return None
        people = []
        for table in PEOPLE:
            cursor.execute(f"SELECT * FROM {table} ORDER BY id")
            people.append(tuple(row[0] for row in cursor.fetchall()))
    return today(), tuple(published.values()), tuple(people)


@functools.cache
def _published() -> list[str]:
    """The tables that the migrations fill."""
    return [
        table
        for table in _tables()
        if table.startswith(
            ("production_reference", "production_inciname", "costing_keptby")
        )
    ]


def _rows(start: Any) -> dict[str, list[Any]]:
    """The orders that lay down what was written since."""
    people = start[-1]
    found = {}
    with connection.cursor() as cursor:
        for table in _tables() + list(PEOPLE):
            if table in _published():
                continue
            cursor.execute(f"SELECT * FROM {table} LIMIT 0")
            # As it is stored: a sum has no type into which the driver would turn it.
            columns = ", ".join(f'+"{column[0]}"' for column in cursor.description)
            cursor.execute(f"SELECT {columns} FROM {table}")
            rows = cursor.fetchall()
            if table in PEOPLE:
                there = people[PEOPLE.index(table)]
                rows = [row for row in rows if row[0] not in there]
            if rows:
                holes = ", ".join("?" * len(rows[0]))
                found[f"INSERT INTO {table} VALUES ({holes})"] = rows
    return found
