"""Fixtures of the whole suite."""

import pytest
from django.conf import settings
from django.db import connections
from django.db.backends.base.operations import BaseDatabaseOperations
from hypothesis import settings as hypothesis_settings

from production.record.models.ink import ink_tables, install_triggers, lift_triggers

# A busy machine is slow, not wrong.
hypothesis_settings.register_profile("house", deadline=None)
hypothesis_settings.load_profile("house")


def pytest_collection_modifyitems(config, items):
    """On PostgreSQL only what asks the database is tried, and no paper twice."""
    if "sqlite" in settings.DATABASES["default"]["ENGINE"]:
        return
    kept, left = [], []
    for item in items:
        (kept if _asks_the_database(item) else left).append(item)
    items[:] = kept
    config.hook.pytest_deselected(items=left)


def _asks_the_database(item):
    if item.get_closest_marker("any_database"):
        return False
    asks = {"db", "transactional_db", "live_server"}
    asked = item.get_closest_marker("django_db") or asks & set(item.fixturenames)
    return bool(asked)


@pytest.fixture(autouse=True, scope="session")
def _flush_lifts_the_guard():
    """Emptying a test database is the one time that ink may go."""
    empty = BaseDatabaseOperations.execute_sql_flush

    def flush(self, sql_list):
        connection = connections[self.connection.alias]
        if connection.vendor == "postgresql" and connection.in_atomic_block:
            # What the test wrote is judged now: it empties no table that waits for it.
            connection.check_constraints()
        lift_triggers(connection, ink_tables())
        try:
            return empty(self, sql_list)
        finally:
            install_triggers(connection, ink_tables())

    BaseDatabaseOperations.execute_sql_flush = flush
    yield
    BaseDatabaseOperations.execute_sql_flush = empty


@pytest.fixture(autouse=True, scope="session")
def _quick_passwords():
    """Hashing is slow on purpose; the suite signs in often."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


@pytest.fixture(autouse=True, scope="session")
def _files_of_its_own(tmp_path_factory):
    """What the suite keeps goes into a folder of its own, not into anybody's book."""
    settings.HOME = tmp_path_factory.mktemp("home")


@pytest.fixture
def owner(db):
    from tests import make

    return make.owner()


@pytest.fixture
def desk(client, owner):
    """A client at which an owner is signed in."""
    client.force_login(owner)
    return client
