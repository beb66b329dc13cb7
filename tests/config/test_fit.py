"""What /healthz names, and what serving refuses."""

import shutil
from collections import namedtuple

import pytest
from django.db import OperationalError, connection
from django.db.migrations.recorder import MigrationRecorder

from config import health
from production.quantities.domain.refusal import Refused

pytestmark = pytest.mark.django_db
Usage = namedtuple("Usage", "total used free")


def said(client):
    answer = client.get("/healthz")
    return answer.status_code, answer.content.decode().splitlines()


@pytest.fixture
def newer():
    MigrationRecorder(connection).record_applied("production", "9001_add_tomorrow")


def test_tables_of_a_newer_kettlebook_are_named(client, newer):
    assert said(client) == (503, [health.NEWER])
    with pytest.raises(Refused, match="9001_add_tomorrow"):
        health.refuse_unfit()


def test_little_room_is_named_before_there_is_none(client, monkeypatch):
    for free, fits in ((health.LEAST_ROOM - 1, False), (health.LEAST_ROOM, True)):
        usage = Usage(10**12, 0, free)
        monkeypatch.setattr(shutil, "disk_usage", lambda place, found=usage: found)
        wanted = (200, ["ok"]) if fits else (503, ["The disk is almost full."])
        assert said(client) == wanted


def test_a_home_that_cannot_be_written_is_named(client, monkeypatch):
    def refuse(**words):
        raise PermissionError

    monkeypatch.setattr("config.health.tempfile.TemporaryFile", refuse)
    assert said(client) == (503, ["The home folder cannot be written."])


@pytest.mark.parametrize(
    ("fault", "fits"),
    [
        ("attempt to write a readonly database", False),
        # Somebody else is writing: so it can be written.
        ("database is locked", True),
    ],
)
def test_a_database_that_cannot_be_written_is_named(client, monkeypatch, fault, fits):
    class Shut:
        def __enter__(self):
            raise OperationalError(fault)

        def __exit__(self, *words):
            return False

    monkeypatch.setattr("config.health.transaction.atomic", Shut)
    wanted = (200, ["ok"]) if fits else (503, ["The database cannot be written."])
    assert said(client) == wanted


def test_every_fault_is_named_at_once(client, newer, monkeypatch):
    usage = Usage(10**12, 10**12, 0)
    monkeypatch.setattr(shutil, "disk_usage", lambda place: usage)
    assert said(client) == (503, [health.NEWER, "The disk is almost full."])
