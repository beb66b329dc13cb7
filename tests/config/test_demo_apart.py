"""The demo never becomes a business, and a book knows of no demo.

What a maker means who runs the README's first command, looks round and starts a book:
neither the book nor its sign-in knows that there is a demo.
"""

import io
import json
import re
import secrets
import shutil
import socket
import subprocess
import sys
import time
from contextlib import closing, suppress
from http.cookiejar import CookieJar
from pathlib import Path
from urllib.error import URLError
from urllib.parse import urlencode
from urllib.request import HTTPCookieProcessor, build_opener

import pdfplumber
import pytest
from django.contrib.auth import get_user_model
from django.template.loader import render_to_string
from django.test import Client, override_settings
from django.urls import reverse

from config.demo.people import LOGIN, LOGINS
from config.demo_mark import refuse_out_of_place
from labels.files import label_pdf, picture
from production.models import Workshop
from production.papers.files.pdf import print_pdf
from production.quantities.domain.refusal import Refused
from tests.config.conftest import NAME, ROOT
from tests.config.demo_files import around, files_of, told_by
from tests.labels.test_label_facts import drawn

pytestmark = pytest.mark.django_db
BAND = "Keep nothing real here."


@pytest.mark.any_database
class TestTheFirstCommand:
    def test_it_does_the_main_job_and_tells_where_the_demo_stands(self, newcomer):
        assert "Tideline 8 fl oz (TIDE-8OZ-1): 3.5505 USD per bottle" in newcomer.said
        assert f"The demo stands in {newcomer.home / 'demo'}." in newcomer.said

    def test_the_home_of_a_book_knows_nothing_of_it(self, newcomer):
        assert [path.name for path in newcomer.home.iterdir()] == ["demo"]
        # The certificate beside the book, and the book.
        assert files_of(newcomer.database) == ["attachments", NAME]

    def test_the_password_is_shown_once_and_stands_nowhere_else(self, newcomer):
        [password] = re.findall(rf"Sign in as {LOGIN}, password (\S+)", newcomer.said)
        assert newcomer.said.count(password) == 1
        assert password.encode() not in newcomer.database.read_bytes()

    def test_only_invented_people_can_sign_in(self, newcomer):
        names = told_by(newcomer.database, "SELECT username FROM auth_user")
        assert {name for (name,) in names} == set(LOGINS)


@pytest.mark.any_database
def test_a_server_of_any_kind_refuses_it_as_a_book(newcomer):
    refused = subprocess.run(
        [sys.executable, "-c", "import config.wsgi"],
        cwd=ROOT,
        env=around(
            KETTLEBOOK_HOME=str(newcomer.database.parent),
            SECRET_KEY=secrets.token_urlsafe(50),
        ),
        capture_output=True,
        text=True,
        check=False,
    )
    assert "This database was made by the demo" in refused.stderr


def test_a_book_is_never_served_as_the_demo(settings):
    refuse_out_of_place()
    settings.DEMO = True
    with pytest.raises(Refused, match="No demo stands here"):
        refuse_out_of_place()
    Workshop.objects.update_or_create(pk=1, defaults={"demo": True})
    refuse_out_of_place()


@pytest.mark.any_database
class TestItsOwn:
    """Folder, port, cookies: a book is open in the same browser."""

    ASK = (
        "import json, sys; sys.argv[:] = sys.argv[1:];"
        "from django.conf import settings as its;"
        "print(json.dumps([str(its.HOME), its.DATABASES['default']['NAME'],"
        "its.SESSION_COOKIE_NAME, its.CSRF_COOKIE_NAME]))"
    )

    def ask(self, tmp_path, *argv):
        """What the settings say to a process that was started so."""
        homes = {
            "KETTLEBOOK_HOME": str(tmp_path / "book"),
            "KETTLEBOOK_DEMO_HOME": str(tmp_path / "play"),
        }
        told = subprocess.run(
            [sys.executable, "-c", self.ASK, "manage.py", *argv],
            cwd=ROOT,
            env=around(**homes),
            capture_output=True,
            text=True,
            check=True,
        )
        return json.loads(told.stdout)

    def test_folder_and_cookies(self, tmp_path):
        book, play = self.ask(tmp_path, "stock"), self.ask(tmp_path, "demo", "stock")
        for name, (home, database, *_) in {"book": book, "play": play}.items():
            assert home == str(tmp_path / name)
            assert Path(database).parent == tmp_path / name
        assert not set(book[2:]) & set(play[2:])

    def test_a_real_server_of_it(self, newcomer, tmp_path):
        """Whatever is set for the book of the same person: here https."""
        home = tmp_path / "play"
        home.mkdir()
        shutil.copyfile(newcomer.database, home / NAME)
        with closing(socket.create_server(("127.0.0.1", 0))) as free:
            bind = f"127.0.0.1:{free.getsockname()[1]}"
        server = subprocess.Popen(
            [sys.executable, "manage.py", "demo", "--keep", "--bind", bind],
            cwd=ROOT,
            env=around(
                KETTLEBOOK_DEMO_HOME=str(home), HTTPS="yes", ALLOWED_HOSTS="book.test"
            ),
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
        )
        try:
            told = next(line for line in server.stdout if "password" in line)
            jar = CookieJar()
            browser = build_opener(HTTPCookieProcessor(jar))
            page = answered(browser, f"http://{bind}/login/")
            sent = dict(re.findall(r'name="(csrf\w+)" value="([^"]+)"', page))
            sent |= {"username": LOGIN, "password": told.split()[-1]}
            data = urlencode(sent).encode()
            start = browser.open(f"http://{bind}/login/", data).read().decode()
            busy = subprocess.run(
                [sys.executable, "manage.py", "demo", "--no-serve"],
                cwd=ROOT,
                env=around(KETTLEBOOK_DEMO_HOME=str(home)),
                capture_output=True,
                text=True,
                check=False,
            )
        finally:
            server.terminate()
            server.wait(30)
        assert "Signed in as" in start
        assert BAND in page
        assert BAND in start
        assert {"demo_sessionid", "demo_csrftoken"} <= {one.name for one in jar}
        for cookie in jar:
            assert cookie.name.startswith("demo_")
            assert not cookie.secure
        assert "Something has the book open" in busy.stderr

    def test_both_stay_signed_in_in_one_browser(self):
        user = get_user_model().objects.create(username="me")
        browser = Client()
        browser.force_login(user)
        with override_settings(DEMO=True, SESSION_COOKIE_NAME="demo_sessionid"):
            browser.force_login(user)
            assert BAND in browser.get(reverse("password")).content.decode()
            browser.post(reverse("logout"))
            assert browser.get(reverse("password")).status_code == 302
        assert browser.get(reverse("password")).status_code == 200


def answered(browser, address):
    for _ in range(600):
        with suppress(URLError, ConnectionError):
            return browser.open(address, timeout=20).read().decode()
        time.sleep(0.1)
    raise AssertionError("The demo was not served.")


class TestToldApart:
    """A page or a paper of the demo says so; one of a book never does."""

    def test_pages_with_and_without_somebody_signed_in(self, desk, client, settings):
        asked = [(client, reverse("login")), (client, reverse("splash"))]
        asked += [(desk, reverse("start")), (desk, "/no-such-page")]
        for browser, address in asked:
            settings.DEMO = True
            page = browser.get(address).content.decode()
            assert page.count(BAND) == 1, address
            assert "<title>Demo · " in page
            settings.DEMO = False
            page = browser.get(address).content.decode()
            assert BAND not in page, address
            assert "<title>Demo" not in page

    @pytest.mark.parametrize(
        "name", ["400", "403", "403_csrf", "404", "429", "500", "503", "507"]
    )
    def test_pages_of_faults_need_neither_request_nor_database(self, name, settings):
        settings.DEMO = True
        assert render_to_string(f"{name}.html").count(BAND) == 1

    def test_no_page_for_the_screen_has_another_shell(self):
        templates = (ROOT / "templates").rglob("*.html")
        shells = [
            path.name
            for path in templates
            if "<!doctype" in path.read_text(encoding="utf-8")
            and path.parent.name != "print"
        ]
        assert shells == ["_shell.html"]

    @pytest.mark.parametrize("demo", [True, False])
    def test_a_printed_page_says_so_in_its_margin(self, demo, settings):
        settings.DEMO = demo
        printed = print_pdf("<html><body><h1>Batch sheet</h1></body></html>", "")
        assert ("Demo: all invented." in text_of(printed)) is demo

    @pytest.mark.parametrize(
        ("facts", "word"), [({}, "DEMO"), ({"ingredients": ()}, "DEMODRAFT")]
    )
    def test_a_label_has_it_across(self, facts, word, settings):
        drawing = drawn("us", "80", "120", **facts)
        before = picture(drawing)
        assert "DEMO" not in across(label_pdf(drawing, "Tideline"))
        settings.DEMO = True
        assert across(label_pdf(drawing, "Tideline")) == word
        assert picture(drawing) != before


def text_of(content):
    with pdfplumber.open(io.BytesIO(content)) as pdf:
        return "\n".join(page.extract_text() for page in pdf.pages)


def across(content):
    """What stands turned on the first page."""
    with pdfplumber.open(io.BytesIO(content)) as pdf:
        turned = [c["text"] for c in pdf.pages[0].chars if c["matrix"][1] != 0]
    return "".join(turned).replace(" ", "")
