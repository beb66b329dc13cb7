"""What the demo wrote, table by table, so that what anybody else wrote is seen.

Kept in a table of the demo's own database, which no other book has. Who came in and
looked round has written nothing: sessions, tries and passwords are left out.
"""

from collections import Counter
from collections.abc import Iterator
from hashlib import sha256
from typing import NamedTuple

from django.apps import apps
from django.db import connection

RECORD = "demo_as_built"
PASSING = ("django_session", "axes_", "sqlite_", RECORD)
PASSING_COLUMNS = {"last_login", "password"}
SEVERAL = 5


class Content(NamedTuple):
    """How many rows a table has, and a digest of them in no order."""

    rows: int
    digest: str


def note_as_built() -> None:
    """Once, when all is written."""
    contents = [(name, *content) for name, content in _contents()]
    with connection.cursor() as cursor:
        make_record(cursor)
        cursor.executemany(f"INSERT INTO {RECORD} VALUES (%s, %s, %s)", contents)


def make_record(cursor) -> None:
    """The table itself, empty: no migration makes it."""
    cursor.execute(
        f"CREATE TABLE {RECORD} (name varchar(80) PRIMARY KEY, "
        "amount integer NOT NULL, digest char(64) NOT NULL)"
    )


def written_by_others() -> str:
    """What stands here that the demo did not write, in a sentence; "" for nothing."""
    if RECORD not in connection.introspection.table_names():
        return "An earlier Kettlebook built it and kept no note of what it wrote."
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT name, amount, digest FROM {RECORD}")
        then = {name: Content(*content) for name, *content in cursor.fetchall()}
    now = dict(_contents())
    names = then.keys() | now.keys()
    changed = sorted(name for name in names if then.get(name) != now.get(name))
    if not changed:
        return ""
    if "production_deed" in changed:
        return _entries(then["production_deed"].rows)
    return f"After it was built this was changed in it: {_in_words(changed)}."


def _contents() -> Iterator[tuple[str, Content]]:
    with connection.cursor() as cursor:
        names = connection.introspection.table_names(cursor, include_views=True)
        for name in names:
            if not name.startswith(PASSING):
                quoted = connection.ops.quote_name(name)
                cursor.execute(f"SELECT * FROM {quoted}")
                yield name, _content(cursor)


def _content(cursor) -> Content:
    counted = [
        place
        for place, column in enumerate(cursor.description)
        if column[0] not in PASSING_COLUMNS
    ]
    rows = sorted(
        repr([_plain(row[place]) for place in counted]) for row in cursor.fetchall()
    )
    return Content(len(rows), sha256("\n".join(rows).encode()).hexdigest())


def _plain(value):
    """The bytes of a paper, however the database hands them over."""
    return bytes(value) if isinstance(value, memoryview) else value


def _entries(known: int) -> str:
    """Entries are in ink, so those that came later stand behind the known ones."""
    with connection.cursor() as cursor:
        cursor.execute(
            'SELECT deed.verb, deed."on", person.username FROM production_deed deed '
            "JOIN auth_user person ON person.id = deed.by_id ORDER BY deed.id"
        )
        later = cursor.fetchall()[known:]
    verbs = Counter(verb for verb, *_ in later).most_common()
    told = [f"{verb} ({times})" for verb, times in verbs[:SEVERAL]]
    if len(verbs) > SEVERAL:
        told.append("and others")
    _, on, by = later[-1]
    noun = "entry was" if len(later) == 1 else "entries were"
    return (
        f"After it was built {len(later)} {noun} written in it: {', '.join(told)}; "
        f"the last by {by}, dated {on}."
    )


def _in_words(tables: list[str]) -> str:
    known = {
        model._meta.db_table: str(model._meta.verbose_name_plural)
        for model in apps.get_models(include_auto_created=True)
    }
    return ", ".join(known.get(table, table) for table in tables)
