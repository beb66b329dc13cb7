"""Behind a web server that speaks https, by the settings that the README prints.

What a browser is told is held to RFC 6797 (Strict-Transport-Security goes over https
only), RFC 6265 (Secure cookies) and RFC 9111 (no-store); what a proxy says to the
usual X-Forwarded-For and X-Forwarded-Proto, of which the last hop alone is known.
"""

import http.client
import os
import re
import secrets
import socket
import string
import subprocess
import sys
import time
from pathlib import Path
from random import Random

import pytest
from django.core.exceptions import ImproperlyConfigured
from django.test import Client, override_settings
from django.urls import reverse

from config.env import EXAMPLE, origins, refuse_weak

ROOT = Path(__file__).resolve().parents[2]
NAME = "kettle.example"
PASSWORD = "kettle and spoon 7"
KEY = secrets.token_urlsafe(50)
# The README's settings of a house behind a web server; the rest is left out.
BEHIND = {"SECRET_KEY": KEY, "ALLOWED_HOSTS": NAME, "HTTPS": "yes"}
OVER_TLS = {"X-Forwarded-Proto": "https", "X-Forwarded-For": "203.0.113.5"}


def around(home, **said):
    kept = {"PATH": os.environ["PATH"], "KETTLEBOOK_HOME": str(home)}
    return {**kept, "PYTHONPATH": str(ROOT), **said}


def manage(home, *words, piped="", **said):
    return subprocess.run(
        [sys.executable, "manage.py", *words],
        cwd=ROOT,
        env=around(home, **said),
        input=piped,
        capture_output=True,
        text=True,
        timeout=180,
        check=False,
    )


@pytest.fixture(scope="module")
def home(tmp_path_factory):
    """A book with one owner, let in at the machine."""
    folder = tmp_path_factory.mktemp("served")
    assert manage(folder, "migrate", "-v0").returncode == 0
    done = manage(folder, "add_owner", "ines", piped=f"{PASSWORD}\n")
    assert done.stdout.strip() == "ines is an owner and may sign in.", done.stderr
    return folder


class Served:
    """One real server, and one browser behind a proxy that keeps its cookies."""

    def __init__(self, port, log):
        self.port, self.log, self.jar, self.flags = port, log, {}, {}

    def ask(self, path, body=None, **headers):
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=30)
        sent = {
            "Host": NAME,
            "Cookie": "; ".join(f"{a}={b}" for a, b in self.jar.items()),
        }
        sent |= headers
        if body is not None:
            sent["Content-Type"] = "application/x-www-form-urlencoded"
        line.request("GET" if body is None else "POST", path, body, sent)
        answer = line.getresponse()
        answer.text = answer.read().decode()
        for cookie in answer.headers.get_all("Set-Cookie", []):
            name, _, rest = cookie.partition("=")
            self.jar[name], self.flags[name] = rest.split(";")[0], rest
        line.close()
        return answer

    def sign_in(self, password=PASSWORD, **headers):
        shown = self.ask("/login/", **headers)
        if shown.status != 200:
            return shown
        token = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', shown.text)[1]
        body = f"username=ines&password={password.replace(' ', '+')}"
        return self.ask(
            "/login/",
            f"{body}&csrfmiddlewaretoken={token}",
            **{"Origin": f"https://{NAME}", "Referer": f"https://{NAME}/login/"}
            | headers,
        )


@pytest.fixture
def serving(home, tmp_path):
    running = []

    def start(**said):
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            port = free.getsockname()[1]
        log = (tmp_path / f"{port}.log").open("w+")
        words = [sys.executable, "manage.py", "serve", "--bind", f"127.0.0.1:{port}"]
        process = subprocess.Popen(
            words, cwd=ROOT, env=around(home, **said), stdout=log, stderr=log
        )
        running.append(process)
        served = Served(port, Path(log.name))
        for _ in range(300):
            try:
                served.ask("/healthz")
                return served
            except OSError:
                assert process.poll() is None, served.log.read_text()
                time.sleep(0.1)
        raise AssertionError(served.log.read_text())

    yield start
    for process in running:
        process.terminate()
        process.wait(30)


def test_names_and_https_alone_give_working_forms(serving):
    served = serving(**BEHIND)
    answer = served.sign_in(**OVER_TLS)
    assert (answer.status, answer.headers["Location"]) == (302, "/")
    for name in ("sessionid", "csrftoken", "device", "seat"):
        assert "Secure" in served.flags[name], name
    for name in ("sessionid", "device"):
        assert "HttpOnly" in served.flags[name]
    start = served.ask("/", **OVER_TLS)
    assert start.status == 200
    assert "Sign out" in start.text
    assert start.headers["Strict-Transport-Security"].startswith("max-age=")
    assert start.headers["Cache-Control"] == "no-store, private"
    assert start.headers["X-Frame-Options"] == "DENY"
    told = served.log.read_text()
    assert re.search(r"kettlebook\.door sign-in by=\d+$", told, re.MULTILINE)
    assert "ines" not in told
    assert "203.0.113" not in told


def test_whoever_comes_by_plain_http_is_sent_to_https(serving):
    answer = serving(**BEHIND).ask("/login/?next=/lots/")
    assert answer.status == 301
    assert answer.headers["Location"] == f"https://{NAME}/login/?next=/lots/"
    assert "Strict-Transport-Security" not in answer.headers


def test_nobody_but_the_named_proxy_is_believed(serving):
    served = serving(**BEHIND, TRUSTED_PROXY="192.0.2.9")
    for said in (OVER_TLS, {"Forwarded": "proto=https;for=203.0.113.5"}):
        assert served.sign_in(**said).status == 301
    other = served.ask("/login/", Host="elsewhere.example", **OVER_TLS)
    assert other.status in (301, 400)
    assert "elsewhere.example" not in other.headers.get("Location", "")


def test_the_proxy_is_believed_in_two_words_only(serving):
    served = serving(**BEHIND)
    forged = {"X-Forwarded-Host": "elsewhere.example", "Forwarded": "proto=https"}
    assert served.ask("/login/", **forged).status == 301
    page = served.ask("/login/", **OVER_TLS | forged)
    assert page.status == 200
    assert "elsewhere" not in page.text


def test_each_address_behind_the_proxy_has_its_own_count(serving):
    """The last hop is what the proxy saw; what stands before it anybody may write."""
    served = serving(**BEHIND)
    for number in range(5):
        forged = {"X-Forwarded-For": f"198.51.100.{number}, 203.0.113.7"}
        answer = served.sign_in("wrong", **OVER_TLS | forged)
    assert answer.status == 429
    elsewhere = {"X-Forwarded-For": "203.0.113.8"}
    assert served.sign_in(**OVER_TLS | elsewhere).status == 302


def test_a_form_of_another_site_is_refused(serving):
    served = serving(**BEHIND)
    foreign = {"Origin": "https://elsewhere.example"}
    assert served.sign_in(**OVER_TLS | foreign).status == 403


def test_a_deployment_check_finds_nothing(home):
    """Two of its warnings are silenced, each with its reason in the settings."""
    done = manage(home, "check", "--deploy", "--fail-level", "WARNING", **BEHIND)
    assert done.returncode == 0, done.stderr
    assert "no issues (2 silenced)" in done.stdout
    lines = (ROOT / "config" / "settings.py").read_text().splitlines()
    silenced = [line for line in lines if '"security.W' in line]
    assert len(silenced) == 2
    assert all(re.search(r'",  # \w.{20}', line) for line in silenced)


@pytest.mark.parametrize(
    ("said", "says"),
    [
        ({"SECRET_KEY": ""}, "Set SECRET_KEY"),
        ({"SECRET_KEY": "a-long-random-text"}, "too short or too plain"),
        ({"SECRET_KEY": "x" * 60}, "too short or too plain"),
        ({"SECRET_KEY": "only-for-development"}, "too short or too plain"),
        ({"SECRET_KEY": f"django-insecure-{KEY}"}, "too short or too plain"),
        ({"DEBUG": "yes"}, "leave DEBUG out to serve"),
        ({"TRUSTED_PROXY": "*"}, "TRUSTED_PROXY is '*': write the one address"),
        ({"IDLE_HOURS": "soon"}, "IDLE_HOURS is 'soon': write whole hours"),
        ({"IDLE_HOURS": "0"}, "write whole hours"),
    ],
)
def test_serve_refuses_what_is_not_safe(home, said, says):
    done = manage(home, "serve", "--bind", "127.0.0.1:1", **{**BEHIND, **said})
    assert done.returncode != 0
    assert says in done.stderr
    assert KEY not in done.stderr


ALPHABET = string.ascii_letters


@pytest.mark.parametrize(
    "key",
    [
        "change-me-" * 8,
        f"{EXAMPLE}-" * 4,
        f"{EXAMPLE}-bhNBVnlmYstxvR6FNpSTxCLT4FS0IC_TDsrNwyR4vxvEacEB0XEguULWI4",
        string.digits + ALPHABET,
        (string.digits + ALPHABET)[::-1],
        "only for this test" * 4,
        "1234567890" * 6,
    ],
)
def test_a_key_that_follows_a_rule_is_refused(key):
    with pytest.raises(ImproperlyConfigured, match="too plain"):
        refuse_weak(key)


def test_random_keys_are_taken():
    """In every writing that is usual for one (RFC 4648; digits for the worst)."""
    dice = Random(7)
    for signs in (f"{ALPHABET}0123456789-_", "0123456789abcdef", string.digits):
        for _ in range(500):
            refuse_weak("".join(dice.choices(signs, k=64)))


def test_origins_follow_from_the_names():
    assert origins([NAME, ".kettle.example", "*", "127.0.0.1"]) == [
        "https://kettle.example",
        "https://*.kettle.example",
        "https://127.0.0.1",
    ]


@pytest.mark.django_db
def test_the_pages_themselves_believe_no_header():
    """Only the server may say that it was https: whatever serves them by mistake."""
    with override_settings(SECURE_SSL_REDIRECT=True):
        for said in (OVER_TLS, {"X-Forwarded-Protocol": "ssl", "X-Scheme": "https"}):
            assert Client().get(reverse("login"), headers=said).status_code == 301
        assert Client().get(reverse("login"), secure=True).status_code == 200
        assert Client().get("/healthz").status_code == 200


def test_the_readme_names_every_setting_and_the_words_of_the_proxy():
    text = (ROOT / "README.md").read_text()
    named = {"TRUSTED_PROXY", "IDLE_HOURS", "ALLOWED_HOSTS", "HTTPS", "SECRET_KEY"}
    assert all(f"`{name}" in text for name in named)
    assert "createsuperuser" not in text
    assert "proxy_set_header Host $host;" in text
    for name in OVER_TLS:
        assert f"proxy_set_header {name} " in text
