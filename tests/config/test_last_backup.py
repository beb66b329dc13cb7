"""The start page says how old the last backup is, and asks for one in time.

A maker expects to be asked before more is at stake than can be written again from the
papers, and not to be asked where nothing was done.
"""

import json
from datetime import UTC, datetime, timedelta

import pytest
from django.conf import settings
from django.urls import reverse

from production.models import Deed, Workshop
from production.start.domain import MOST_DAYS, MOST_DEEDS, Saved, Unsaved, asks
from production.start.files import NAME, last_saved, note_saved
from production.start.reads.not_backed_up import unsaved_after
from tests import make

NOW = datetime(2026, 11, 28, 18, tzinfo=UTC)


@pytest.fixture(autouse=True)
def _home(tmp_path, monkeypatch):
    monkeypatch.setattr(settings, "HOME", tmp_path)


def ago(**much):
    return NOW - timedelta(**much)


@pytest.mark.parametrize(
    ("deeds", "since", "asked"),
    [
        (0, None, False),
        (1, ago(hours=1), False),
        (MOST_DEEDS - 1, ago(hours=1), False),
        (MOST_DEEDS, ago(hours=1), True),
        (1, ago(days=MOST_DAYS) + timedelta(minutes=1), False),
        (1, ago(days=MOST_DAYS), True),
    ],
)
def test_it_is_asked_for_by_what_would_be_lost(deeds, since, asked):
    assert asks(Unsaved(deeds, since), NOW) is asked


def test_the_newest_backup_is_the_last_one_whatever_was_put_back():
    newer, older = Saved(NOW, NOW, "b.zip"), Saved(ago(days=3), ago(days=3), "a.zip")
    for saved in (newer, older):
        note_saved(settings.HOME, saved)
    assert last_saved(settings.HOME) == newer


@pytest.mark.parametrize("text", ["", "{}", "[]", "null", '{"taken_at": 3}', "\0"])
def test_a_note_that_cannot_be_read_is_no_note(text):
    (settings.HOME / NAME).write_text(text)
    assert last_saved(settings.HOME) is None


def test_the_note_is_plain():
    note_saved(settings.HOME, Saved(NOW, None, "a.zip"))
    told = json.loads((settings.HOME / NAME).read_text())
    assert told == {"taken_at": NOW.isoformat(), "through": None, "where": "a.zip"}


def start(client):
    return client.get(reverse("start")).content.decode()


def saved(through, taken_at=None):
    note_saved(settings.HOME, Saved(taken_at or through, through, "a.zip"))


@pytest.mark.django_db
class TestStartPage:
    def test_an_empty_book_is_asked_for_nothing(self, desk):
        assert "backup" not in start(desk)

    def test_a_young_book_is_told_and_not_asked(self, desk):
        make.lot()
        page = start(desk)
        assert "This book has no backup yet; its history has 1 entry." in page
        assert "Make a backup" not in page

    def test_what_was_done_after_the_last_backup_counts(self, desk):
        make.lot()
        saved(Deed.objects.get().at)
        assert "nothing was written since" in start(desk)
        make.lot()
        assert "the history has 1 entry more" in start(desk)
        assert unsaved_after(last_saved(settings.HOME).through).deeds == 1

    def test_an_old_backup_of_a_book_at_rest_is_no_matter(self, desk):
        make.lot()
        saved(Deed.objects.get().at, taken_at=datetime(2020, 1, 1, tzinfo=UTC))
        page = start(desk)
        assert "The last backup is of 2020-01-01 00:00; nothing was written" in page
        assert "Make a backup" not in page

    def test_after_fifty_it_is_asked_for(self, desk):
        for _ in range(MOST_DEEDS):
            make.lot()
        page = start(desk)
        assert "<strong>Make a backup.</strong>" in page
        assert "its history has 50 entries" in page

    def test_a_maker_and_a_demo_are_not_asked(self, client, desk):
        make.lot()
        client.force_login(make.maker())
        assert "backup" not in start(client)
        client.force_login(make.owner())
        assert "backup" in start(client)
        Workshop.objects.create(name="Saltmarsh", demo=True)
        assert "backup" not in start(client)
