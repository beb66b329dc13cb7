"""A full disk is a sentence, and what was typed stays on the page."""

import errno
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.db import OperationalError, connection
from django.urls import reverse

from production.models import Item
from production.papers.domain.disk_full import FULL, no_room
from production.quantities.domain.refusal import Refused
from tests import make

OLD, NEW = "lye-and-Water-1", "paste-Kettle-77"
TYPED = "Rapeseed oil from the mill"
NO_SPACE = OSError(errno.ENOSPC, "No space left on device")
DATABASE = OperationalError("database or disk is full")


def test_it_is_known_by_what_stands_behind_a_fault():
    behind = Refused("It could not be kept.")
    behind.__cause__ = NO_SPACE
    for fault in (NO_SPACE, DATABASE, behind):
        assert no_room(fault) == FULL
    for fault in (None, OSError(errno.EACCES, "denied"), OperationalError("locked")):
        assert no_room(fault) == ""


@pytest.fixture
def full(monkeypatch):
    """The disk is full wherever an item is added."""

    def raised(fault):
        def fall(self, *args, **kwargs):
            raise fault

        monkeypatch.setattr(Item, "save", fall)

    return raised


def sent(client, **more):
    facts = {"name": TYPED, "kind": "material", "category": "oil", "unit": "g"}
    return client.post(reverse("item-add"), {**facts, **more})


@pytest.mark.django_db
@pytest.mark.parametrize("fault", [NO_SPACE, DATABASE], ids=["files", "database"])
class TestPage:
    def test_what_was_typed_stays(self, desk, full, fault):
        full(fault)
        answer = sent(desk)
        page = answer.content.decode()
        assert answer.status_code == 507
        assert FULL in page
        assert f'value="{TYPED}"' in page
        assert "signed out" not in page

    def test_it_is_written_once_there_is_room(self, desk, full, fault, monkeypatch):
        full(fault)
        sent(desk)
        monkeypatch.undo()
        assert sent(desk).status_code == 302
        assert Item.objects.filter(name=TYPED).count() == 1

    def test_a_page_with_nowhere_to_say_it_has_one_of_its_own(
        self, desk, fault, monkeypatch
    ):
        def fall(*args, **kwargs):
            raise fault

        monkeypatch.setattr("production.workshop.actions.people._give", fall)
        desk.raise_request_exception = False
        user = make.owner()
        user.set_password(OLD)
        user.save()
        desk.force_login(user)
        words = {"old_password": OLD, "new_password1": NEW, "new_password2": NEW}
        answer = desk.post(reverse("password"), words)
        assert answer.status_code == 507
        assert "The disk is full" in answer.content.decode()
        assert NEW not in answer.content.decode()

    def test_signing_in_says_so_too(self, client, fault, monkeypatch):
        def fall(*args, **kwargs):
            raise fault

        user = make.owner()
        user.set_password(NEW)
        user.save()
        store = "django.contrib.sessions.backends.db.SessionStore"
        monkeypatch.setattr(f"{store}.save", fall)
        client.raise_request_exception = False
        words = {"username": user.username, "password": NEW}
        answer = client.post(reverse("login"), words)
        assert answer.status_code == 507


@pytest.mark.django_db(transaction=True)
def test_a_database_that_may_not_grow_says_so_on_the_page(desk):
    """SQLite's own fault, from its own limit (sqlite.org/pragma.html)."""
    if connection.vendor != "sqlite":
        pytest.skip("a limit of SQLite")
    with connection.cursor() as cursor:
        [most] = cursor.execute("PRAGMA max_page_count").fetchone()
        [used] = cursor.execute("PRAGMA page_count").fetchone()
        cursor.execute(f"PRAGMA max_page_count = {used}")
    try:
        for number in range(400):
            answer = sent(desk, name=f"{TYPED} {number}")
            if answer.status_code == 507:
                break
        assert FULL in answer.content.decode()
        assert f'value="{TYPED} {number}"' in answer.content.decode()
        assert not Item.objects.filter(name=f"{TYPED} {number}").exists()
        assert Item.objects.filter(name__startswith=TYPED).count() == number
    finally:
        with connection.cursor() as cursor:
            cursor.execute(f"PRAGMA max_page_count = {most}")


@pytest.mark.django_db
def test_a_command_says_it():
    # A device that is always full (full(4), Linux manual).
    if not Path("/dev/full").exists():
        pytest.skip("there is no /dev/full here")
    make.lot()
    with pytest.raises(CommandError, match="The disk is full"):
        call_command("export_history", "/dev/full")
