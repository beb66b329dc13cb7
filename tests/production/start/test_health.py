"""Is the house fit to serve, and does it say so when it is not?"""

import os
import subprocess
import sys
from pathlib import Path
from secrets import token_urlsafe

import pytest
from django.db import DatabaseError

from config import health

ROOT = Path(__file__).resolve().parents[3]
TELL = (
    "from django.conf import settings; database = settings.DATABASES['default'];"
    "print(database['ENGINE'], database['HOST'], database['NAME'])"
)


@pytest.fixture
def python(tmp_path):
    """Run a line of Python in a house of its own, with only these settings."""

    def run(*words, **settings):
        env = {
            "PATH": os.environ["PATH"],
            "KETTLEBOOK_HOME": str(tmp_path),
            "DJANGO_SETTINGS_MODULE": "config.settings",
            **settings,
        }
        return subprocess.run(
            [sys.executable, *words],
            cwd=ROOT,
            env=env,
            capture_output=True,
            text=True,
            timeout=120,
            check=False,
        )

    return run


@pytest.mark.django_db
class TestHealthz:
    def test_it_says_ok_to_anybody(self, client):
        answer = client.get("/healthz")
        assert (answer.status_code, answer.content) == (200, b"ok\n")

    def test_it_says_503_while_migrations_are_unapplied(self, client, monkeypatch):
        monkeypatch.setattr(health, "unapplied", lambda: ["production.0002_more"])
        answer = client.get("/healthz")
        assert (answer.status_code, answer.content) == (
            503,
            b"Migrations are unapplied.\n",
        )

    def test_it_says_503_while_the_database_is_silent(self, client, monkeypatch):
        def silent():
            raise DatabaseError

        monkeypatch.setattr(health, "unapplied", silent)
        answer = client.get("/healthz")
        assert answer.status_code == 503
        assert b"does not answer" in answer.content

    def test_every_migration_of_this_house_is_applied_here(self):
        assert health.unapplied() == []

    def test_a_page_that_is_not_there_has_a_page_of_its_own(self, desk):
        answer = desk.get("/no-such-page")
        assert answer.status_code == 404
        assert b"<!doctype html>" in answer.content.lower()

    def test_no_answer_lets_a_page_load_from_elsewhere(self, client):
        policy = client.get("/healthz").headers["Content-Security-Policy"]
        assert "default-src 'self'" in policy


class TestSettings:
    def test_serving_refuses_without_a_secret_key(self, python):
        answer = python("-c", TELL, DEBUG="no")
        assert answer.returncode != 0
        assert "Set SECRET_KEY to a long random text" in answer.stderr

    def test_serving_starts_with_one(self, python):
        assert python("-c", TELL, DEBUG="no", SECRET_KEY=KEY).returncode == 0

    def test_nonsense_for_yes_or_no_is_named(self, python):
        answer = python("-c", TELL, DEBUG="perhaps")
        assert "DEBUG is 'perhaps': write yes or no." in answer.stderr

    def test_without_an_address_the_book_lies_in_the_house(self, python, tmp_path):
        answer = python("-c", TELL)
        path = tmp_path / "kettlebook.sqlite3"
        assert answer.stdout.split() == ["django.db.backends.sqlite3", str(path)]

    def test_a_path_may_be_named(self, python, tmp_path):
        path = tmp_path / "book.sqlite3"
        answer = python("-c", TELL, DATABASE_URL=f"sqlite:///{path}")
        assert answer.stdout.split() == ["django.db.backends.sqlite3", str(path)]

    def test_a_server_may_be_named(self, python):
        answer = python("-c", TELL, DATABASE_URL="postgres://ines@db.example/kettle")
        assert answer.stdout.split() == [
            "django.db.backends.postgresql",
            "db.example",
            "kettle",
        ]


KEY = token_urlsafe(50)


class TestServing:
    SERVE = ("-c", "import config.wsgi; print('serving')")

    def test_it_refuses_a_database_that_was_not_migrated_and_then_serves(self, python):
        answer = python(*self.SERVE, SECRET_KEY=KEY)
        assert answer.returncode != 0
        assert "run python manage.py migrate first" in answer.stderr
        assert python("manage.py", "migrate", "-v0").returncode == 0
        assert "serving" in python(*self.SERVE, SECRET_KEY=KEY).stdout

    def test_it_refuses_without_a_secret_key_too(self, python):
        assert "Set SECRET_KEY" in python(*self.SERVE).stderr
