"""The files of a demo and of a book, and the command that builds a demo."""

import io
import os
import sqlite3
from contextlib import closing, contextmanager

from django.core.management import call_command
from django.db import connections
from django.db.backends.sqlite3.base import DatabaseWrapper

ADD_A_SHOP = "INSERT INTO production_customer (name, contact) VALUES ('My shop', '')"


def around(**environment):
    kept = {key: value for key, value in os.environ.items() if key != "DATABASE_URL"}
    return {**kept, "DJANGO_SETTINGS_MODULE": "config.settings", **environment}


def told_by(path, order):
    with closing(sqlite3.connect(path)) as file, file:
        return file.execute(order).fetchall()


def tables(path):
    return {name for (name,) in told_by(path, "SELECT name FROM sqlite_master")}


def shops(path):
    return [name for (name,) in told_by(path, "SELECT name FROM production_customer")]


def files_of(path):
    """What stands beside it; the lock is nobody's file."""
    return [file.name for file in path.parent.glob("[!.]*")]


@contextmanager
def working_in(path):
    """The house works on a file of its own, whatever database the suite has."""
    suite = connections["default"]
    named = {**suite.settings_dict, "NAME": str(path), "OPTIONS": {}}
    connections["default"] = DatabaseWrapper(named, "default")
    try:
        yield
    finally:
        connections["default"].close()
        connections["default"] = suite


def demo(path, *options):
    """The command, where the settings name that file; what it says."""
    out = io.StringIO()
    with working_in(path):
        call_command("demo", *options, stdout=out)
    return out.getvalue()
