"""The demo built where one stands: what somebody wrote in it is never lost.

It stays, in sight or under another name.
"""

import json
import re
import secrets
import shutil
import sqlite3
from contextlib import closing

import pytest
from django.contrib.auth import get_user_model
from django.core.management import CommandError, call_command
from django.db import connection

from config.demo import building
from config.demo.as_built import written_by_others
from config.management.commands import demo as demo_command
from tests.config.conftest import NAME
from tests.config.demo_files import (
    ADD_A_SHOP,
    demo,
    files_of,
    shops,
    tables,
    told_by,
    working_in,
)

pytestmark = pytest.mark.django_db


def build(fill):
    """In place of the year: one table, so that it is seen which one stands."""
    with connection.cursor() as cursor:
        cursor.execute("CREATE TABLE built_anew (name varchar(9))")


@pytest.mark.any_database
class TestBuiltAgain:
    """The command where a demo stands already."""

    @pytest.fixture
    def stands(self, newcomer, tmp_path, settings, monkeypatch):
        settings.DEMO, settings.HOME = True, tmp_path
        shutil.copyfile(newcomer.database, tmp_path / NAME)
        monkeypatch.setattr(building, "_migrate_and", build)
        monkeypatch.setattr(demo_command, "tell", str)
        monkeypatch.setattr(demo_command, "refuse_taken", lambda bind: None)
        return tmp_path / NAME

    def test_one_that_nobody_wrote_in_is_replaced(self, stands):
        demo(stands, "--no-serve")
        assert tables(stands) == {"built_anew"}
        assert files_of(stands) == [NAME]

    def test_one_that_somebody_wrote_in_stays(self, stands):
        told_by(stands, ADD_A_SHOP)
        with pytest.raises(CommandError, match="changed in it: customers"):
            demo(stands, "--no-serve")
        assert "My shop" in shops(stands)
        assert files_of(stands) == [NAME]

    def test_it_is_set_aside_whole_when_asked(self, stands):
        told_by(stands, ADD_A_SHOP)
        said = demo(stands, "--no-serve", "--set-aside")
        assert tables(stands) == {"built_anew"}
        [aside] = stands.parent.glob(f"{NAME}.before-*")
        assert f"is kept: {aside}" in said
        assert "My shop" in shops(aside)

    def test_what_is_written_while_it_is_built_stays(self, stands, monkeypatch):
        def build_slowly(fill):
            build(fill)
            told_by(stands, ADD_A_SHOP)

        monkeypatch.setattr(building, "_migrate_and", build_slowly)
        with pytest.raises(CommandError, match="changed in it: customers"):
            demo(stands, "--no-serve")
        assert "My shop" in shops(stands)
        assert files_of(stands) == [NAME]

    def test_one_that_is_open_elsewhere_stays(self, stands):
        with closing(sqlite3.connect(stands)) as server:
            server.execute("PRAGMA journal_mode=WAL")
            server.execute("SELECT count(*) FROM production_lot").fetchone()
            with pytest.raises(CommandError, match="stop that server"):
                demo(stands, "--no-serve")
        assert "production_lot" in tables(stands)

    @pytest.mark.parametrize("option", ["--no-serve", "--set-aside", "--keep"])
    def test_a_book_that_is_no_demo_is_not_touched(self, stands, option):
        told_by(stands, "UPDATE production_workshop SET demo = 0")
        before = stands.read_bytes()
        with pytest.raises(CommandError, match=r"did not make|No demo stands here"):
            demo(stands, option)
        assert stands.read_bytes() == before
        assert files_of(stands) == [NAME]

    def test_a_file_of_something_else_is_left_alone(self, stands):
        stands.unlink()
        told_by(stands, "CREATE TABLE recipes (name)")
        with pytest.raises(CommandError, match="left alone"):
            demo(stands, "--no-serve")
        assert tables(stands) == {"recipes"}

    def test_it_is_opened_again_with_all_that_was_written(self, stands, monkeypatch):
        told_by(stands, ADD_A_SHOP)
        served = {}
        monkeypatch.setattr(
            demo_command, "serve", lambda bind, **env: served.update(env, bind=bind)
        )
        said = demo(stands, "--keep")
        [password] = re.findall(r"password (\S+)", said)
        assert said.count(password) == 1
        assert password not in str(served)
        with working_in(stands):
            for person in get_user_model().objects.all():
                assert person.check_password(password)
            assert "changed in it: customers" in written_by_others()
        assert served["bind"] == "127.0.0.1:8100"

    @pytest.mark.parametrize("words", [["--keep"], ["migrate"], ["createsuperuser"]])
    def test_no_command_begins_a_book_where_no_demo_stands(self, stands, words):
        stands.unlink()
        with pytest.raises(CommandError, match="No demo stands here"):
            demo(stands, *words)

    def test_any_command_is_asked_of_the_demo(self, stands, capsys):
        demo(stands, "fit", "TIDE-8OZ-1", "--for", "sale", "--json")
        assert json.loads(capsys.readouterr().out)["fit"]

    def test_a_process_that_was_not_started_for_it_builds_none(self, stands, settings):
        settings.DEMO = False
        with pytest.raises(CommandError, match="Start it as"):
            demo(stands, "--no-serve")

    def test_serve_refuses_it(self, stands, settings, monkeypatch):
        settings.DEMO = False
        monkeypatch.setenv("SECRET_KEY", secrets.token_urlsafe(50))
        with working_in(stands), pytest.raises(CommandError) as refusal:
            call_command("serve")
        assert "made by the demo" in str(refusal.value)
        assert "starts in an empty folder" in str(refusal.value)
