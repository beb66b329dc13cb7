"""A demo never becomes a business: what is somebody's own is never taken for it.

What a maker expects: looking round loses nothing and keeps nothing; what anybody wrote
in a demo goes only when they say so, and then under another name, not away; a book
that the demo did not make is never touched.
"""

import os
import shutil
import socket
import sqlite3
import subprocess
import sys
import time
import urllib.error
import urllib.request
from contextlib import closing

import pytest
from django.conf import settings
from django.contrib.auth import get_user_model
from django.db import connection
from django.test import Client

from config.apart import made_by_the_demo, refuse_out_of_place
from config.demo.as_built import written_by_others
from config.demo.building import refuse_what_is_not_the_demos
from production.domain.refusal import Refused
from production.files import press
from production.models import Customer, Deed, Workshop
from tests.config.conftest import NAME, ROOT, run

pytestmark = pytest.mark.django_db
BAND = "Keep nothing real here."
# A demo of three cards, through the same building, so that building again is quick.
SMALL = """
import sys
sys.argv[1:] = ["demo"]
import django
django.setup()
from config.demo.building import build
from production.domain.refusal import Refused
from production.models import Customer, Workshop
def fill():
    Workshop.objects.create(name="Small", demo=True)
    Customer.objects.create(name="Invented Inn")
try:
    print("kept:", build(fill, keep_old={keep}))
except Refused as refusal:
    sys.exit(str(refusal))
"""


@pytest.fixture
def stood(newcomer, tmp_path):
    """A demo of one's own, as the README's first command leaves it."""
    (tmp_path / "demo").mkdir()
    shutil.copy(newcomer.database, tmp_path / "demo" / NAME)
    return tmp_path


def write(home, order):
    with closing(sqlite3.connect(home / "demo" / NAME)) as book, book:
        # As the house opens it, so that a look changes no byte.
        book.execute("PRAGMA journal_mode=WAL")
        book.execute(order)


def build_small(home, *, keep=False):
    around = {key: value for key, value in os.environ.items() if key != "DATABASE_URL"}
    return subprocess.run(
        [sys.executable, "-c", SMALL.format(keep=keep)],
        cwd=ROOT,
        env={
            **around,
            "DJANGO_SETTINGS_MODULE": "config.settings",
            "KETTLEBOOK_DEMO_HOME": str(home / "demo"),
        },
        capture_output=True,
        text=True,
        check=False,
    )


def test_the_first_command_leaves_the_home_of_a_book_empty(newcomer):
    assert "Tideline 8 fl oz (TIDE-8OZ-1): 3.5505 USD per bottle" in newcomer.said
    assert [path.name for path in newcomer.home.iterdir()] == ["demo"]
    assert [path.name for path in newcomer.database.parent.iterdir()] == [NAME]


def test_its_password_is_shown_once_and_stands_nowhere_else(newcomer):
    told = [line for line in newcomer.said.splitlines() if "password" in line]
    assert len(told) == 1
    password = told[0].rpartition(" ")[2]
    assert len(password) >= 12
    assert newcomer.said.count(password) == 1
    assert password.encode() not in newcomer.database.read_bytes()


def test_any_command_is_asked_of_the_demo_and_none_without_one(stood, tmp_path):
    audited = run(stood, "demo", "audit")
    assert "All seven laws hold." in audited.stdout, audited.stderr
    (stood / "demo" / NAME).unlink()
    none = run(stood, "demo", "migrate")
    assert none.returncode == 1
    assert "No demo stands here" in none.stderr


def test_it_is_served_on_its_own_with_a_band_and_cookies_of_its_own(stood):
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        bind = f"127.0.0.1:{free.getsockname()[1]}"
    around = {key: value for key, value in os.environ.items() if key != "DATABASE_URL"}
    homes = {"KETTLEBOOK_DEMO_HOME": str(stood / "demo"), "KETTLEBOOK_HOME": str(stood)}
    server = subprocess.Popen(
        [sys.executable, "manage.py", "demo", "--keep", "--bind", bind],
        cwd=ROOT,
        env={**around, **homes, "HTTPS": "yes"},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    try:
        page, cookies = answered(f"http://{bind}/login/")
        assert BAND in page
        assert "demo_csrftoken=" in cookies
        assert " csrftoken=" not in f" {cookies}"
        assert "secure" not in cookies.lower()
        busy = run(stood, "demo", "--no-serve")
        assert "stop that server" in busy.stderr
    finally:
        server.terminate()
        server.wait(30)


def answered(address):
    for _ in range(120):
        try:
            with urllib.request.urlopen(address, timeout=20) as answer:
                return answer.read().decode(), answer.headers["Set-Cookie"]
        except (urllib.error.URLError, ConnectionError):
            time.sleep(0.5)
    raise AssertionError("The demo was not served.")


def test_a_demo_that_somebody_wrote_in_says_what_and_stays(stood):
    """An entry of an invented person too: it may be a real purchase."""
    with closing(sqlite3.connect(stood / "demo" / NAME)) as book:
        columns = [row[1] for row in book.execute("PRAGMA table_info(production_deed)")]
    own = {"id", "key", "undoes_id"}
    names = ", ".join(f'"{name}"' for name in columns if name not in own)
    write(
        stood,
        f"INSERT INTO production_deed ({names}, key) SELECT {names}, 'later' "
        "FROM production_deed "
        "ORDER BY id DESC LIMIT 1",
    )
    before = (stood / "demo" / NAME).read_bytes()
    refused = run(stood, "demo", "--no-serve")
    assert refused.returncode == 1
    assert "1 entry was written in it" in refused.stderr
    assert "--keep" in refused.stderr
    assert "--set-aside" in refused.stderr
    assert "Traceback" not in refused.stderr
    assert (stood / "demo" / NAME).read_bytes() == before


def test_a_book_that_the_demo_did_not_make_is_never_touched(stood):
    write(stood, "UPDATE production_workshop SET demo = 0")
    before = (stood / "demo" / NAME).read_bytes()
    for orders in (["--no-serve"], ["--no-serve", "--set-aside"], ["--keep"]):
        refused = run(stood, "demo", *orders)
        assert refused.returncode == 1
        assert "Traceback" not in refused.stderr
    assert (stood / "demo" / NAME).read_bytes() == before


def test_a_file_of_something_else_is_left_alone(tmp_path):
    (tmp_path / "demo").mkdir()
    write(tmp_path, "CREATE TABLE recipes (name)")
    refused = run(tmp_path, "demo", "--no-serve")
    assert refused.returncode == 1
    assert "left alone" in refused.stderr


def test_serving_a_book_refuses_the_demo_s_database(stood):
    book = {"KETTLEBOOK_HOME": str(stood / "demo"), "SECRET_KEY": "only for this test"}
    refused = run(stood, "serve", **book)
    assert refused.returncode == 1
    assert "made by the demo" in refused.stderr


def test_it_is_built_again_until_somebody_writes_and_then_kept_aside(tmp_path):
    first = build_small(tmp_path)
    assert first.returncode == 0, first.stderr
    again = build_small(tmp_path)
    assert again.stdout == "kept: \n", again.stderr
    write(tmp_path, "INSERT INTO production_customer (name, contact) VALUES ('Me', '')")
    refused = build_small(tmp_path)
    assert refused.returncode == 1
    assert "customers" in refused.stderr
    aside = build_small(tmp_path, keep=True)
    assert aside.returncode == 0, aside.stderr
    kept = aside.stdout.removeprefix("kept: ").strip()
    with closing(sqlite3.connect(kept)) as old:
        named = old.execute("SELECT name FROM production_customer").fetchall()
    assert ("Me",) in named
    files = sorted(path.name for path in (tmp_path / "demo").iterdir())
    assert len(files) == 2
    assert files[1].startswith(f"{NAME}.before-")


@pytest.mark.usefixtures("year")
class TestWhatCountsAsWriting:
    """Also on PostgreSQL, where the note is a table of the same database."""

    def test_looking_round_is_none(self):
        client = Client()
        client.force_login(get_user_model().objects.get(username="ines"))
        client.get("/")
        get_user_model().objects.update(password="new at each start")
        assert written_by_others() == ""
        assert refuse_what_is_not_the_demos(keep_old=False)

    def test_a_card_is(self):
        Customer.objects.create(name="A real customer")
        assert "customers" in written_by_others()

    def test_a_person_of_one_s_own_is(self):
        get_user_model().objects.create(username="me")
        assert "users" in written_by_others()

    def test_an_entry_is_and_tells_its_verb_person_and_day(self):
        last = Deed.objects.latest("pk")
        last.pk, last.key, last.undoes = None, "later", None
        last._state.adding = True
        last.save()
        said = written_by_others()
        assert f"1 entry was written in it: {last.verb} (1)" in said
        assert f"the last by {last.by.username}, dated {last.on}" in said
        with pytest.raises(Refused, match="--set-aside"):
            refuse_what_is_not_the_demos(keep_old=False)
        assert refuse_what_is_not_the_demos(keep_old=True)

    def test_what_an_earlier_house_built_counts_as_written_in(self):
        with connection.cursor() as cursor:
            cursor.execute("DROP TABLE demo_as_built")
        assert "no note" in written_by_others()


def test_each_is_served_as_what_it_is(settings):
    assert not made_by_the_demo()
    refuse_out_of_place()
    settings.DEMO = True
    with pytest.raises(Refused, match="No demo stands here"):
        refuse_out_of_place()
    Workshop.objects.update_or_create(pk=1, defaults={"demo": True})
    refuse_out_of_place()
    settings.DEMO = False
    with pytest.raises(Refused, match="made by the demo"):
        refuse_out_of_place()


@pytest.mark.parametrize(
    ("address", "status"), [("/login/", 200), ("/nowhere", 404), ("/password/", 200)]
)
def test_the_band_stands_on_every_page_of_a_demo_and_on_no_other(
    client, settings, address, status
):
    shown = client.get(address, follow=True)
    assert shown.status_code == status
    assert BAND not in shown.content.decode()
    settings.DEMO = True
    assert BAND in client.get(address, follow=True).content.decode()


def test_every_page_with_a_head_of_its_own_has_the_band():
    templates = (settings.BASE / "templates").rglob("*.html")
    whole = [path for path in templates if "<body" in path.read_text(encoding="utf-8")]
    screens = [path for path in whole if "print" not in path.parts]
    assert [path.name for path in screens] == ["_shell.html"]


def test_what_a_demo_prints_says_so(settings, monkeypatch):
    styles = []

    class Pressed:
        def printed(self, *pages):
            return b""

    monkeypatch.setattr(press, "_press", lambda css: styles.append(css) or Pressed())
    press.print_together(["<p>Lye</p>"], "")
    settings.DEMO = True
    press.print_together(["<p>Lye</p>"], "")
    assert ["Demo" in css for css in styles] == [False, True]
