"""What is not put back: another kind of file, a spoilt one, one under an open book.

The refusal is plain, and what stood there stands.
"""

import fcntl
import shutil
import sqlite3
import zipfile
from contextlib import closing, contextmanager, nullcontext
from datetime import UTC, datetime
from pathlib import Path
from random import Random

import pytest
from django.db import connection

from config.backups.box import DATABASE, About, opened, pack
from config.backups.restoring import refuse_misplaced
from config.open_lock import IN_USE
from production.quantities.domain.refusal import Refused
from tests.config.backed_up import BOOKS, NOW, copied, filled, first_backup, refused
from tests.config.books import NAME, deeds_in, run

start = pytest.fixture(scope="module")(filled)
home = pytest.fixture(copied)
first = pytest.fixture(first_backup)


def test_a_backup_of_the_demo_goes_into_the_demo_only(
    home, first, tmp_path, settings, monkeypatch
):
    of_demo, new = str(tmp_path / "demo.zip"), tmp_path / "new"
    play = tmp_path / "play"
    shutil.copytree(home, play)
    run(play, "as_demo", of_demo, module=BOOKS)
    says = refused(play, of_demo, settings)
    assert f"python manage.py demo restore {of_demo}" in says
    # Into the folder of a demo that is named as a book's.
    monkeypatch.setitem(connection.settings_dict, "NAME", str(play / NAME))
    assert "The demo stands in" in refused(play, first, settings)
    assert not list(play.glob("*.before-*"))
    # Where no demo stands yet.
    told = run(home, "demo", "restore", of_demo, KETTLEBOOK_DEMO_HOME=str(new))
    assert "python manage.py demo audit" in told
    assert deeds_in(new) == NOW
    assert deeds_in(home) == NOW


@pytest.mark.parametrize("of_demo", [True, False])
@pytest.mark.parametrize("in_demo", [True, False])
@pytest.mark.parametrize("stands", [True, False, None])
def test_a_backup_goes_only_where_its_kind_belongs(of_demo, in_demo, stands, settings):
    settings.DEMO = in_demo
    about = About(datetime.now(UTC), "0.1.0", "sqlite", demo=of_demo)
    belongs = of_demo == in_demo and stands in (None, of_demo)
    with nullcontext() if belongs else pytest.raises(Refused, match="was changed"):
        refuse_misplaced(about, stands, Path("first.zip"))


def test_any_bit_that_flipped_is_seen(home, first, tmp_path, settings):
    whole, dice = first.read_bytes(), Random(1)
    broken = tmp_path / "broken.zip"
    ends = [*range(8), *range(len(whole) - 120, len(whole))]
    for place in [*ends, *(dice.randrange(len(whole)) for _ in range(150))]:
        raw = bytearray(whole)
        raw[place] ^= 1 << dice.randrange(8)
        broken.write_bytes(raw)
        with pytest.raises(Refused), opened(broken):
            pass
    assert "damaged or cut short" in refused(home, broken, settings)
    assert deeds_in(home) == NOW
    assert not list(home.glob("*.before-*"))


def test_a_file_that_was_cut_short_is_refused(first, tmp_path):
    whole, cut = first.read_bytes(), tmp_path / "cut.zip"
    for length in (
        0,
        3,
        40,
        64,
        1000,
        len(whole) // 2,
        len(whole) - 64,
        len(whole) - 1,
    ):
        cut.write_bytes(whole[:length])
        with pytest.raises(Refused), opened(cut):
            pass


def test_a_part_that_is_not_what_its_digest_says_is_refused(first, tmp_path):
    """Sealed again, so that only the digest of the part can tell."""
    forged = tmp_path / "forged.zip"
    with opened(first) as box:
        about = box.about

        def fill(packing):
            packing.put(DATABASE, iter([b"another database"]))
            packing.about.parts = about.parts

        pack(forged, About(datetime.now(UTC), "0.1.0", "sqlite"), fill)
    with pytest.raises(Refused, match="damaged"), opened(forged):
        pass


def test_a_file_of_something_else_is_refused(home, tmp_path):
    other = tmp_path / "photos.zip"
    with zipfile.ZipFile(other, "w") as photos:
        photos.writestr("tub.jpg", b"photo" * 100)
    for path in (other, home / NAME, home / "not-there.zip", home):
        with pytest.raises(Refused), opened(path):
            pass


def test_a_newer_backup_says_which_kettlebook_to_install(
    home, first, tmp_path, settings
):
    newer = tmp_path / "newer.zip"
    with opened(first) as box:
        about = box.about
        copy = tmp_path / "copy"
        box.take_out(DATABASE, copy)
    about.schema["production"].append("9001_add_tomorrow")
    about.kettlebook, about.parts = "7.0.0", {}
    pack(newer, about, lambda packing: packing.put(DATABASE, iter([copy.read_bytes()])))
    says = refused(home, newer, settings)
    assert "production.9001_add_tomorrow" in says
    assert "Install Kettlebook 7.0.0 or newer" in says
    assert deeds_in(home) == NOW


@contextmanager
def held(home, how):
    with (home / IN_USE).open("ab") as file:
        fcntl.flock(file, how)
        yield


def test_nothing_is_put_back_under_a_book_that_is_open(home, first, settings):
    with held(home, fcntl.LOCK_SH):
        assert "Something has the book open" in refused(home, first, settings)
        told = run(home, "backup")
    # Without a name it lies in the home folder, and says that it should not.
    assert "copy it to another disk" in told.replace("\n", " ")
    [made] = (home / "backups").glob("kettlebook-*.zip")
    assert str(made) in told
    assert [path.name for path in (home / "backups").glob(".half-*")] == []
    assert deeds_in(home) == NOW
    with held(home, fcntl.LOCK_EX):
        waits = run(home, "audit", check=False)
    assert (waits.returncode, waits.stderr) == (
        1,
        "A book is being put in place here. Wait until it is done.\n",
    )


def test_another_program_that_has_the_file_open_is_noticed(home, first):
    with closing(sqlite3.connect(home / NAME)) as other:
        other.execute("SELECT count(*) FROM production_deed").fetchone()
        answer = run(home, "restore", str(first), check=False)
    assert "Something else has" in answer.stderr
    assert deeds_in(home) == NOW
