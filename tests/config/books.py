"""Books in folders of their own, for what happens to whole books.

Run as a program it works in the home that KETTLEBOOK_HOME names:

    python -m tests.config.books fill
    python -m tests.config.books more
    python -m tests.config.books older FILE
    python -m tests.config.books as_demo FILE
    python -m tests.config.books kill backup|restore FILE STEP
    python -m tests.config.books strike backup|restore FILE ROUNDS
"""

import json
import os
import shutil
import signal
import sqlite3
import subprocess
import sys
import tempfile
import time
from contextlib import closing, suppress
from itertools import count
from pathlib import Path
from random import Random

from production.quantities.domain.refusal import Refused

ROOT = Path(__file__).resolve().parents[2]
NAME = "kettlebook.sqlite3"
# A restore is noted in the book too.
DEEDS = "SELECT count(*) FROM production_deed WHERE verb <> 'note a restore'"


def around(home, **environment):
    """The environment of a process that works in that home."""
    kept = {key: value for key, value in os.environ.items() if key != "DATABASE_URL"}
    return {**kept, "KETTLEBOOK_HOME": str(home), **environment}


def run(home, *orders, check=True, module=(), **environment):
    """A command of the house in that home; its answer in words."""
    program = module or ("manage.py",)
    done = subprocess.run(
        [sys.executable, *program, *orders],
        cwd=ROOT,
        env=around(home, **environment),
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    assert "Traceback" not in done.stderr, done.stderr
    if check:
        assert done.returncode == 0, done.stderr
        return done.stdout
    return done


def deeds_in(home, name=NAME):
    """How many deeds a database holds, once it was found sound; it is left as it is."""
    with tempfile.TemporaryDirectory() as folder:
        for path in home.glob(f"{name}*"):
            if path.name.removeprefix(name) in ("", "-wal", "-shm"):
                shutil.copy(path, folder)
        with closing(sqlite3.connect(Path(folder) / name)) as book:
            assert book.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
            return book.execute(DEEDS).fetchone()[0]


def events(text):
    """A history file's events, but for the one that tells of the restore itself."""
    return [one for one in json.loads(text)["events"] if one["type"] != "restored"]


def _set_up():
    import django

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    django.setup()


def fill():
    """A small book with a paper, its backup, and what was done after it."""
    from django.conf import settings
    from django.contrib.auth.models import User
    from django.core.management import call_command

    from config.backups import back_up
    from tests import make

    call_command("migrate", verbosity=0, interactive=False)
    make.owner()
    User.objects.filter(username="ines").update(is_superuser=True)
    make.attachment(lot=make.lot("L1"))
    make.filled("HS-1")
    home = Path(settings.HOME)
    call_command("export_history", str(home / "then.json"))
    backups = home / "backups"
    backups.mkdir()
    back_up(str(backups / "first.zip"))
    make.attachment("later.txt", b"after the backup", lot=make.lot("L2"))
    # Left as a process that is killed leaves it, with the log beside the database.
    os._exit(0)


# What a process does to files, as the interpreter tells of it (docs.python.org,
# "Audit events table"). Imports open files too: those lie elsewhere.
TOLD = {
    "open",
    "os.rename",
    "os.remove",
    "os.mkdir",
    "os.rmdir",
    "os.chmod",
    "shutil.copyfile",
    "sqlite3.connect",
}


def _dies_at(number, home):
    """This process kills itself at that act on a file in the home."""
    left = [number]

    def hear(event, words):
        if event in TOLD and str(words[0]).startswith(str(home)):
            left[0] -= 1
            if left[0] == 0:
                os.kill(os.getpid(), signal.SIGKILL)

    sys.addaudithook(hear)


def kill(what, file, step):
    """Do it again and again from the same start, killed at each of its acts in turn."""
    act, home = _act(what, file)

    def once(number):
        return _forked(lambda: (_dies_at(number, home), act()))

    _tell(act, home, once, count(1, int(step)))


def strike(what, file, rounds):
    """Killed from outside at moments that nobody chose, in the midst of writing too."""
    act, home = _act(what, file)
    _begin_again(home)
    began = time.monotonic()
    assert _forked(act)
    takes, dice = time.monotonic() - began, Random(2026)

    def once(_):
        return _forked(act, dice.uniform(0, takes))

    _tell(act, home, once, range(int(rounds)))


def _act(what, file):
    from django.conf import settings

    from config.backups import back_up, restore

    act = {"backup": back_up, "restore": restore}[what]
    return lambda: act(file), Path(settings.HOME)


def _begin_again(home):
    from django.db import connection

    connection.close()
    shutil.rmtree(home)
    shutil.copytree(f"{home}.start", home)


def _tell(act, home, once, numbers):
    """For each: what stands afterwards, and what stands once it was done again."""
    told = []
    for number in numbers:
        _begin_again(home)
        ended = once(number)
        told.append([*_stands(home)])
        _forked(act)
        told[-1] += _stands(home)
        if ended:
            break
    json.dump(told, sys.stdout)


def _stands(home):
    return deeds_in(home), sorted(p.name for p in (home / "backups").glob("*.zip"))


def _forked(act, struck_after=None):
    """Whether a child came to the end of it."""
    child = os.fork()
    if not child:
        code = 1
        try:
            act()
            code = 0
        except Refused:
            pass
        finally:
            os._exit(code)
    if struck_after is not None:
        time.sleep(struck_after)
        with suppress(ProcessLookupError):
            os.kill(child, signal.SIGKILL)
    return os.waitpid(child, 0)[1] == 0


def older(file):
    """A backup of a book before its last migration, put back: it is brought up."""
    from django.core.management import call_command
    from django.db import connection
    from django.db.migrations.loader import MigrationLoader

    from config.backups import back_up, restore
    from config.health import unapplied
    from production.record.models.ink import missing_triggers

    known = MigrationLoader(None).disk_migrations
    names = sorted(name for app, name in known if app == "production")
    call_command("migrate", "production", names[-2], verbosity=0)
    back_up(file)
    assert unapplied()
    if empty := os.environ.get("THEN_URL"):
        connection.close()
        connection.settings_dict["NAME"] = empty.rpartition("/")[2]
    restore(file)
    assert not unapplied()
    assert not missing_triggers(connection)


def as_demo(file):
    """A book as the demo leaves one, and its backup."""
    from config.backups import back_up
    from config.demo.as_built import note_as_built
    from production.models import Workshop

    Workshop.objects.update_or_create(pk=1, defaults={"demo": True})
    note_as_built()
    back_up(file)


def more():
    """One more deed."""
    from production.models import Lot
    from production.release.actions.statuses import hold_lot
    from tests import make

    lot = Lot.objects.get(code="L1")
    hold_lot(lot=lot, reason="cloudy", **make.act())


if __name__ == "__main__":
    _set_up()
    does = {
        "fill": fill,
        "more": more,
        "older": older,
        "as_demo": as_demo,
        "kill": kill,
        "strike": strike,
    }
    does[sys.argv[1]](*sys.argv[2:])
