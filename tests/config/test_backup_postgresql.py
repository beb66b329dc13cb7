"""On PostgreSQL: every table in one file, and back into an empty database only."""

import os
import signal
import subprocess
import sys
import time
from contextlib import contextmanager, suppress

import pytest
from django.db import connection

from config.backups.box import opened
from tests.config.books import DEEDS, ROOT, around, events, run

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.skipif(
        connection.vendor != "postgresql", reason="a matter of PostgreSQL"
    ),
]
BOOKS = ("-m", "tests.config.books")
THEN, NOW = 5, 7


@contextmanager
def autocommitted():
    """A connection of its own to the server: a database is made outside of any deed."""
    import psycopg

    facts = connection.get_connection_params()
    facts = {
        k: v for k, v in facts.items() if k in ("host", "port", "user", "password")
    }
    with psycopg.connect(dbname="postgres", autocommit=True, **facts) as server:
        yield server


@pytest.fixture(scope="module")
def server(django_db_setup, django_db_blocker):
    """Make an empty database on the server of the tests; all go when they end."""
    made = []
    with django_db_blocker.unblock():
        facts = connection.settings_dict
        where = f"{facts['HOST']}:{facts['PORT'] or 5432}"
        who = ":".join(filter(None, (facts["USER"], facts["PASSWORD"])))

        def make(name):
            name = f"kettlebook_backup_{os.getpid()}_{name}"
            with autocommitted() as server:
                server.execute(f'CREATE DATABASE "{name}"')
            made.append(name)
            return f"postgres://{who}@{where}/{name}"

        yield make
        with autocommitted() as server:
            for name in made:
                server.execute(f'DROP DATABASE "{name}" WITH (FORCE)')


@pytest.fixture(scope="module")
def book(server, tmp_path_factory):
    """A home and its database, with a backup of five deeds and two more since."""
    home, url = tmp_path_factory.mktemp("book") / "home", server("book")
    home.mkdir()
    run(home, "fill", module=BOOKS, DATABASE_URL=url)
    return home, url


def deeds_in(url):
    import psycopg

    with psycopg.connect(url.replace("postgres://", "postgresql://")) as found:
        [there] = found.execute("SELECT to_regclass('production_deed')").fetchone()
        if there is None:
            return None
        return found.execute(DEEDS).fetchone()[0]


def test_what_is_put_back_is_the_book_as_it_was(book, server, tmp_path):
    home, url = book
    first = home / "backups" / "first.zip"
    with opened(first) as box:
        assert (box.about.deeds, box.about.engine) == (THEN, "postgresql")
        assert "production_deed" in box.about.tables
        assert "django_migrations" not in box.about.tables
    refused = run(home, "restore", str(first), check=False, DATABASE_URL=url)
    assert "is not empty, and stays as it is" in refused.stderr
    assert deeds_in(url) == NOW

    new, empty = tmp_path / "new", server("empty")
    run(new, "restore", str(first), DATABASE_URL=empty)
    assert deeds_in(empty) == THEN
    told = run(new, "export_history", "-", DATABASE_URL=empty)
    assert events(told) == events((home / "then.json").read_text())
    assert "All seven laws hold." in run(new, "audit", DATABASE_URL=empty)
    again = run(new, "restore", str(first), check=False, DATABASE_URL=empty)
    assert "is not empty" in again.stderr
    # Numbers go on after the last one.
    run(new, "more", module=BOOKS, DATABASE_URL=empty)
    assert deeds_in(empty) == THEN + 1


def test_a_backup_of_the_demo_with_the_note_of_what_it_wrote(book, server, tmp_path):
    home, of_demo = tmp_path / "play", str(tmp_path / "demo.zip")
    home.mkdir()
    run(home, "fill", module=BOOKS, DATABASE_URL=(url := server("play")))
    run(home, "as_demo", of_demo, module=BOOKS, DATABASE_URL=url)
    empty = server("for_the_demo")
    refused = run(home, "restore", of_demo, check=False, DATABASE_URL=empty)
    assert f"python manage.py demo restore {of_demo}" in refused.stderr
    assert deeds_in(empty) is None
    first = str(book[0] / "backups" / "first.zip")
    around = {"DATABASE_URL": empty, "KETTLEBOOK_DEMO_HOME": str(tmp_path / "new")}
    refused = run(home, "demo", "restore", first, check=False, **around)
    assert "has no place in the demo" in refused.stderr
    run(home, "demo", "restore", of_demo, **around)
    assert deeds_in(empty) == NOW
    # The note came too: what was written since is known, and the demo is kept.
    kept = run(home, "demo", "--no-serve", check=False, **around)
    assert "note a restore (1)" in kept.stderr


def test_one_kind_of_database_is_not_put_into_another(book, tmp_path):
    home, _ = book
    first = home / "backups" / "first.zip"
    refused = run(tmp_path / "other", "restore", str(first), check=False)
    assert "This backup is of PostgreSQL" in refused.stderr


def test_an_older_backup_is_brought_up_to_date(server, tmp_path):
    home = tmp_path / "old"
    home.mkdir()
    urls = {"DATABASE_URL": server("old"), "THEN_URL": server("brought_up")}
    run(home, "older", str(tmp_path / "old.zip"), module=BOOKS, **urls)


def test_killed_while_it_is_put_back_the_database_is_empty_or_whole(
    book, server, tmp_path
):
    home, _ = book
    url, new = server("killed"), tmp_path / "new"
    orders = [sys.executable, "manage.py", "restore", str(home / "backups/first.zip")]
    for patience in (2, 4):
        child = subprocess.Popen(
            orders,
            cwd=ROOT,
            env=around(new, DATABASE_URL=url),
            stderr=subprocess.DEVNULL,
        )
        time.sleep(patience)
        with suppress(ProcessLookupError):
            child.send_signal(signal.SIGKILL)
        child.wait()
        time.sleep(0.5)
        assert deeds_in(url) in (None, THEN)
    if deeds_in(url) is None:
        run(new, *orders[2:], DATABASE_URL=url)
    assert deeds_in(url) == THEN
