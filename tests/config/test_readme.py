"""The README's own lines, from an empty folder to a loss and back."""

import os
import re
import secrets
import shlex
import signal
import sqlite3
import subprocess
import sys
import threading
import time
from contextlib import closing, suppress
from http.cookiejar import CookieJar
from urllib.error import URLError
from urllib.parse import urlencode
from urllib.request import HTTPCookieProcessor, build_opener

from tests.config.books import NAME, ROOT, around

WORD = "first-Day-of-Paste"
PYTHON = ".venv/bin/python "


def console(part):
    """The lines that a reader types under a heading, without what fetches the house."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    under = text.split(f"\n## {part}\n")[1].split("\n## ")[0]
    blocks = re.findall(r"(?s)```console\n(.*?)```", under)
    lines = [line for block in blocks for line in block.splitlines()]
    lines = [line.removeprefix("$ ").split("   ")[0].strip() for line in lines]
    typed = [line for line in lines if line.startswith((PYTHON, "export"))]
    assert typed, part
    return typed


class House:
    """One home, and the README's lines run in it."""

    def __init__(self, home, port):
        self.home, self.base = home, f"http://127.0.0.1:{port}"
        self.env = around(
            home,
            DJANGO_SUPERUSER_PASSWORD=WORD,
            DJANGO_SUPERUSER_USERNAME="ines",
            DJANGO_SUPERUSER_EMAIL="ines@example.org",
        )
        self.browser = build_opener(HTTPCookieProcessor(CookieJar()))
        self.server = None

    def type(self, line):
        """A line as it stands, but for what only a person can answer or choose."""
        if line.startswith("export SECRET_KEY="):
            self.env["SECRET_KEY"] = secrets.token_urlsafe(50)
            return ""
        orders = shlex.split(line.removeprefix(PYTHON))
        if "createsuperuser" in orders:
            orders.append("--noinput")
        if "restore" in orders:
            [orders[-1]] = map(str, (self.home / "backups").glob("kettlebook-*.zip"))
        if "serve" in orders:
            orders[-1] = self.base.removeprefix("http://")
            return self.serve(orders)
        done = subprocess.run(
            [sys.executable, *orders],
            cwd=ROOT,
            env=self.env,
            # Where a password is asked for.
            input=f"{WORD}\n",
            capture_output=True,
            text=True,
            timeout=120,
            check=False,
        )
        assert done.returncode == 0, (line, done.stderr)
        return done.stdout

    def serve(self, orders):
        self.server = subprocess.Popen(
            [sys.executable, *orders],
            cwd=ROOT,
            env=self.env,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        for _ in range(300):
            with suppress(URLError, ConnectionError):
                assert self.get("/healthz") == "ok\n"
                return ""
            time.sleep(0.1)
        raise AssertionError("nothing is served")

    def get(self, path):
        with self.browser.open(self.base + path, timeout=30) as answer:
            return answer.read().decode()

    def send(self, path, **facts):
        """Fill in the form of a page and send it; the page that it leads to."""
        page = self.get(path)
        hidden = re.findall(
            r'<input type="hidden" name="([^"]+)"(?: value="([^"]*)")?', page
        )
        data = urlencode({**dict(hidden), **facts}).encode()
        with self.browser.open(self.base + path, data, timeout=30) as answer:
            return answer.read().decode()

    def kill(self):
        self.server.send_signal(signal.SIGKILL)
        self.server.wait()


def names(home):
    with closing(sqlite3.connect(home / NAME)) as book:
        rows = book.execute("SELECT name FROM production_item").fetchall()
    return {name for [name] in rows}


def write_until_it_falls(house, written):
    """Item after item; noted once the house has answered that it stands."""
    number = 0
    with suppress(OSError):
        while True:
            number += 1
            name = f"Oil {number}"
            page = house.send(
                "/items/add/", name=name, kind="material", category="oil", unit="g"
            )
            assert name in page
            written.append(name)
            # The other processes need the machine too.
            time.sleep(0.2)


def wait_for(written, more):
    most = len(written) + more
    for _ in range(600):
        if len(written) >= most:
            return
        time.sleep(0.05)
    raise AssertionError("nothing is written")


def test_from_an_empty_folder_to_a_loss_and_back(tmp_path):
    house = House(tmp_path / "home", 18000 + os.getpid() % 20000)
    house.home.mkdir()
    for line in console("Install it for good"):
        house.type(line)
    try:
        # The first day.
        house.send("/login/", username="ines", password=WORD)
        card = {"currency": "USD", "zone": "UTC", "units": "metric", "paper": "A4"}
        house.send("/workshop/change/", name="Harrow Soap", **card)
        assert "Harrow Soap" in house.get("/")
        written = []
        hand = threading.Thread(target=write_until_it_falls, args=(house, written))
        hand.start()
        wait_for(written, 1)
        # A backup while it is served and written in.
        before = set(written)
        make, *back = console("Back up, and put it back")
        assert "Made and read back" in house.type(make)
        wait_for(written, 1)
    finally:
        house.kill()
    hand.join()
    # Killed in the midst of writing, the book has all that was answered.
    known = names(house.home)
    assert set(written) <= known
    (house.home / NAME).unlink()
    told = [house.type(line) for line in back]
    assert "All seven laws hold." in told[-1]
    assert before <= names(house.home) <= known
