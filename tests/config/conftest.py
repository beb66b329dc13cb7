"""The demo as its command builds it: once for all who look at it."""

import fcntl
import os
import sqlite3
import subprocess
import sys
from contextlib import closing, contextmanager
from pathlib import Path
from types import SimpleNamespace

import pytest
from django.db import connection

from config.demo import fill
from config.demo.as_built import note_as_built
from tests.once import for_a_while

ROOT = Path(__file__).resolve().parents[2]
NAME = "kettlebook.sqlite3"


def run(home, *orders, **environment):
    """A command of the house, at a machine that has nothing set but these homes."""
    around = {key: value for key, value in os.environ.items() if key != "DATABASE_URL"}
    homes = {"KETTLEBOOK_HOME": str(home), "KETTLEBOOK_DEMO_HOME": str(home / "demo")}
    return subprocess.run(
        [sys.executable, "manage.py", *orders],
        cwd=ROOT,
        env={**around, **homes, **environment},
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.fixture(scope="session")
def newcomer(tmp_path_factory, worker_id):
    """Where the README's first command was run, and what it said.

    ``home`` would be the home of a book; the demo stands in ``home / "demo"``.
    """
    base = tmp_path_factory.getbasetemp()
    base = base if worker_id == "master" else base.parent
    home, told = base / "newcomer", base / "newcomer-told.txt"
    with (base / "newcomer.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not told.exists():
            done = run(home, "demo", "--no-serve")
            assert done.returncode == 0, done.stderr
            told.write_text(done.stdout, encoding="utf-8")
    said = told.read_text(encoding="utf-8")
    return SimpleNamespace(home=home, database=home / "demo" / NAME, said=said)


@contextmanager
def the_year(request, blocker):
    """The suite's own database holds the demo, and what it held before afterwards."""
    if connection.vendor != "sqlite":
        with for_a_while(blocker):
            fill("only for this test")
            note_as_built()
            yield
        return
    built = request.getfixturevalue("newcomer").database
    with blocker.unblock(), closing(sqlite3.connect(":memory:")) as before:
        connection.ensure_connection()
        connection.connection.backup(before)
        with closing(sqlite3.connect(built)) as file:
            file.backup(connection.connection)
        yield
        before.backup(connection.connection)


@pytest.fixture(scope="module")
def year(request, django_db_setup, django_db_blocker):
    with the_year(request, django_db_blocker):
        yield
