"""A home with a book and its first backup, and what stands in it afterwards."""

import shutil

import pytest

from config.backups.restoring import restore
from production.quantities.domain.refusal import Refused
from tests.config.books import NAME, deeds_in, run

BOOKS = ("-m", "tests.config.books")
THEN, NOW = 5, 7


def filled(tmp_path_factory):
    """A home with a backup of five deeds, two more since, and the log of one killed."""
    home = tmp_path_factory.mktemp("book") / "home"
    home.mkdir()
    run(home, "fill", module=BOOKS)
    assert (home / f"{NAME}-wal").stat().st_size
    assert deeds_in(home) == NOW
    return home


def copied(start, tmp_path):
    """The same, for one test; its start stands beside it."""
    shutil.copytree(start, tmp_path / "home.start")
    return shutil.copytree(start, tmp_path / "home")


def first_backup(home):
    return home / "backups" / "first.zip"


def refused(home, path, settings):
    """What restore says; in this process, as it never comes to the database."""
    settings.HOME = home
    with pytest.raises(Refused) as refusal:
        restore(str(path))
    return str(refusal.value)


def papers(home):
    return {p.name for p in (home / "attachments").rglob("*") if p.is_file()}


def aside(home):
    """What was set aside of the database, by the end of its name."""
    found = sorted(home.glob(f"{NAME}.before-*"), key=lambda path: path.name)
    return found[0].name, [path.name.removeprefix(found[0].name) for path in found]
