"""A book is never lost: what a backup holds, and what stands after it is put back.

What is expected of it: the whole book or a plain refusal, at any moment, from any file;
nothing that stood there is deleted.
"""

import errno
import json
import os
import shutil
import sqlite3
import stat
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from config import opening
from config.backups import taking
from config.backups.box import ABOUT, DATABASE, About, opened
from production.papers.files.attachments import load
from production.quantities.domain.refusal import Refused
from tests.config.backed_up import (
    BOOKS,
    NOW,
    THEN,
    aside,
    copied,
    filled,
    first_backup,
    papers,
)
from tests.config.books import NAME, deeds_in, events, run

start = pytest.fixture(scope="module")(filled)
home = pytest.fixture(copied)
first = pytest.fixture(first_backup)


def test_a_backup_tells_what_it_holds_and_is_read_by_its_owner_only(home, first):
    assert stat.S_IMODE(first.stat().st_mode) == 0o600
    with opened(first) as box:
        about = box.about
        assert (about.deeds, about.engine) == (THEN, "sqlite")
        assert about.taken_at > about.through
        assert about.schema["production"][-1] >= "0002"
        assert DATABASE in about.parts
        assert len(about.papers) == 1


def test_what_is_put_back_is_the_book_as_it_was_and_in_ink(home, first):
    then = papers(home)
    told = run(home, "restore", str(first))
    assert "python manage.py audit" in told
    assert deeds_in(home) == THEN
    told = run(home, "export_history", "-")
    assert events(told) == events((home / "then.json").read_text())
    # Triggers and papers are what its seventh law looks at.
    assert "All seven laws hold." in run(home, "audit")
    assert papers(home) == then
    name, ends = aside(home)
    assert ends == ["", "-shm", "-wal"]
    assert deeds_in(home, name) == NOW
    with closing(sqlite3.connect(home / NAME)) as book:
        for order in ("UPDATE {} SET verb = ''", "DELETE FROM {}"):
            with pytest.raises(sqlite3.IntegrityError, match="written in ink"):
                book.execute(order.format("production_deed"))


def test_it_comes_back_where_the_file_was_deleted_and_its_log_was_left(home, first):
    (home / NAME).unlink()
    log = (home / f"{NAME}-wal").read_bytes()
    answer = run(home, "audit", check=False)
    assert "is missing, and its log" in answer.stderr
    assert "restore a backup" in answer.stderr
    assert not (home / NAME).exists()
    assert (home / f"{NAME}-wal").read_bytes() == log
    run(home, "restore", str(first))
    assert deeds_in(home) == THEN
    assert not (home / f"{NAME}-wal").exists()
    assert "-wal" in [path.name[-4:] for path in home.glob(f"{NAME}.before-*")]


ORDERS = {
    "audit": "refused",
    "serve": "refused",
    "backup": "refused",
    "add_owner ines": "refused",
    "shell": "refused",
    "demo audit": "goes on",
    "demo": "goes on",
    "migrate": "goes on",
    "restore first.zip": "always",
    "demo restore first.zip": "always",
    "saponify -": "always",
    "audit --help": "always",
    "": "always",
}


@pytest.mark.parametrize(("order", "expected"), ORDERS.items())
def test_no_command_makes_a_database_by_opening_it(
    order, expected, tmp_path, settings, monkeypatch
):
    """Beside a log that was left SQLite would take the log away (sqlite.org/wal.html,
    from memory: a log that belongs to no database is deleted)."""
    file, settings.HOME = tmp_path / NAME, tmp_path
    monkeypatch.setattr(opening, "database_file", lambda: file)
    monkeypatch.setattr(opening, "keep_to_the_owner", lambda *words: None)
    monkeypatch.setattr(opening, "hold", lambda home: None)
    command = opening.named(order.split())

    def says():
        try:
            opening.open_home(command)
        except Refused as refusal:
            return str(refusal)
        return ""

    no_book = "run python manage.py migrate first"
    assert (no_book in says()) == (expected == "refused")
    (tmp_path / f"{NAME}-wal").write_bytes(b"the last day")
    assert ("its log" in says()) == (expected != "always")
    assert [path.name for path in tmp_path.iterdir()] == [f"{NAME}-wal"]
    file.write_bytes(b"back again")
    assert says() == ""


def test_where_no_book_stands_it_is_said_and_nothing_is_made(tmp_path):
    home = tmp_path / "empty"
    home.mkdir()
    (home / NAME).touch()
    says = run(home, "backup", check=False).stderr
    assert "No book stands here: run python manage.py migrate" in says
    assert not (home / "backups").exists()


@pytest.mark.django_db
class TestOnTheWayToADisk:
    def test_a_disk_that_is_full_is_named(self, tmp_path, monkeypatch):
        def full(path, about, fill):
            raise OSError(errno.ENOSPC, "No space left on device", str(path))

        monkeypatch.setattr(taking, "pack", full)
        with pytest.raises(CommandError, match="The disk of") as refusal:
            call_command("backup", str(tmp_path / "b.zip"))
        assert str(tmp_path) in str(refusal.value)
        assert "where the book is kept" not in str(refusal.value)
        assert not list(tmp_path.iterdir())

    def test_a_file_that_is_there_is_never_replaced(self, first):
        before = first.read_bytes()
        with pytest.raises(CommandError, match="is there already, and stays as it is"):
            call_command("backup", str(first))
        assert first.read_bytes() == before

    def test_a_folder_that_takes_no_file_is_said(self):
        # Nothing can be made there (proc(5), Linux manual).
        if not Path("/proc/self").exists():
            pytest.skip("there is no /proc here")
        with pytest.raises(CommandError, match=r"No backup was made in /proc|written"):
            call_command("backup", "/proc/x.zip")


def test_it_comes_back_where_the_file_is_rubbish(home, first):
    rubbish = b"no database at all " * 1000
    (home / NAME).write_bytes(rubbish)
    run(home, "restore", str(first))
    assert deeds_in(home) == THEN
    assert (home / aside(home)[0]).read_bytes() == rubbish


def test_it_comes_back_on_a_machine_that_never_had_it(start, tmp_path):
    away = shutil.copy(start / "backups" / "first.zip", tmp_path)
    new = tmp_path / "new"
    run(new, "restore", str(away))
    assert deeds_in(new) == THEN
    assert len(papers(new)) == 1
    assert json.loads((new / "last-backup.json").read_text())["where"] == str(away)


def test_a_paper_that_was_spoilt_is_put_right_and_kept_beside(home, first):
    with opened(first) as box:
        [name] = box.about.papers
    (home / name).write_bytes(b"spoilt")
    run(home, "restore", str(first))
    mark = name.removeprefix("attachments/").replace("/", "")
    assert load(home, mark) is not None
    [kept] = (home / name).parent.glob("*.before-*")
    assert kept.read_bytes() == b"spoilt"


def test_an_older_backup_is_brought_up_to_date(tmp_path):
    """A backup before the upgrade is the one that matters: it can be made then."""
    home = tmp_path / "old"
    home.mkdir()
    run(home, "older", str(tmp_path / "old.zip"), module=BOOKS)


def test_what_stood_open_to_others_is_closed_when_the_house_opens(home):
    paths = [home / NAME, home / f"{NAME}-wal", home / "backups", home / "attachments"]
    paths += [path for folder in paths[2:] for path in folder.rglob("*")]
    for path in paths:
        path.chmod(0o777 if path.is_dir() else 0o666)
    run(home, "stock")
    for path in paths:
        if path.exists():
            wanted = 0o700 if path.is_dir() else 0o600
            assert stat.S_IMODE(path.stat().st_mode) == wanted, path


class TestKilled:
    """The old stands, or the new, and doing it again ends well."""

    @pytest.mark.parametrize(("how", "much"), [("kill", "4"), ("strike", "8")])
    def test_while_it_is_put_back(self, home, first, how, much):
        told = json.loads(run(home, how, "restore", str(first), much, module=BOOKS))
        assert {stands for stands, *_ in told} <= {NOW, THEN}
        assert {again for *_, again, _ in told} == {THEN}
        if how == "kill":
            assert (len(told) > 8, told[0][0], told[-1][0]) == (True, NOW, THEN)

    @pytest.mark.parametrize(("how", "much"), [("kill", "4"), ("strike", "4")])
    def test_while_a_backup_is_made(self, home, how, much):
        second = str(home / "backups" / "second.zip")
        told = json.loads(run(home, how, "backup", second, much, module=BOOKS))
        assert {stands for stands, *_ in told} == {NOW}
        for _, kept, _, again in told:
            assert set(kept) <= {"first.zip", "second.zip"}
            assert again == ["first.zip", "second.zip"]
        with opened(home / "backups" / "second.zip") as box:
            assert box.about.deeds == NOW


def test_the_settings_ask_for_every_deed_to_be_on_the_disk(settings):
    named = settings.DATABASES["default"]
    if named["ENGINE"].endswith("sqlite3"):
        assert "synchronous=FULL" in named["OPTIONS"]["init_command"]


def test_about_survives_its_own_words():
    about = About(datetime.now(UTC), "0.1.0", "sqlite", {"production": ["0001"]}, 3)
    assert About.read(about.written()) == about
    assert ABOUT.endswith(".json")
    assert os.sep not in ABOUT
