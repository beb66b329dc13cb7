"""Settings from the environment, loud about nonsense."""

import ipaddress
import os
from collections.abc import Iterable
from itertools import pairwise

from django.core.exceptions import ImproperlyConfigured

YES = {"1", "yes", "true", "on"}
NO = {"0", "no", "false", "off"}
# What the framework's own check of a deployment asks of a key (security.W009).
LONG, MANY = 50, 5
# What the help of ``serve`` shows.
EXAMPLE = "a-long-random-text"
YEAR = 24 * 366


def flag(name: str, *, default: bool) -> bool:
    """Read a yes-or-no setting."""
    text = os.environ.get(name, "").strip().lower()
    if not text:
        return default
    if text in YES | NO:
        return text in YES
    raise ImproperlyConfigured(f"{name} is {text!r}: write yes or no.")


def secret(name: str, *, spare: str | None) -> str:
    """Read a secret; without a spare one an empty value refuses to start."""
    text = os.environ.get(name, "").strip() or spare
    if not text:
        raise ImproperlyConfigured(
            f"Set {name} to a long random text before serving; "
            "python -c 'import secrets; print(secrets.token_urlsafe(50))' makes one."
        )
    return text


def refuse_weak(key: str) -> None:
    """What signs every cookie must not be guessed."""
    known = key.startswith("django-insecure") or EXAMPLE in key
    if len(key) < LONG or len(set(key)) < MANY or known or _follows_a_rule(key):
        raise ImproperlyConfigured(
            f"SECRET_KEY is too short or too plain to be safe: it has {len(key)} "
            f"characters, or repeats itself. Take a random one of {LONG} or more; "
            "python -c 'import secrets; print(secrets.token_urlsafe(50))' makes one."
        )


def _follows_a_rule(key: str) -> bool:
    """A short piece again and again, or one character after the other.

    A random key has hardly a piece of three twice, and few neighbours in it.
    """
    text = key.lower()
    pieces = [text[at : at + 3] for at in range(len(text) - 2)]
    steps = [abs(ord(a) - ord(b)) <= 1 for a, b in pairwise(text)]
    return 2 * len(set(pieces)) < len(pieces) or 2 * sum(steps) > len(steps)


def hours(name: str, *, default: int) -> int:
    """Read a number of whole hours, one or more."""
    text = os.environ.get(name, "").strip() or str(default)
    if not text.isascii() or not text.isdigit() or not 0 < int(text) <= YEAR:
        raise ImproperlyConfigured(
            f"{name} is {text!r}: write whole hours, such as 12."
        )
    return int(text)


def address(name: str, *, default: str) -> str:
    """Read one address of a machine, or ""; a name or a star is none."""
    text = os.environ.get(name, "").strip() or default
    try:
        return str(ipaddress.ip_address(text.strip("[]"))) if text else ""
    except ValueError:
        raise ImproperlyConfigured(
            f"{name} is {text!r}: write the one address from which the web server in "
            "front comes in, such as 127.0.0.1."
        ) from None


def origins(hosts: Iterable[str]) -> list[str]:
    """The https addresses of names; a name that begins with a dot is all below it."""
    named = [host for host in hosts if host != "*"]
    return [f"https://{'*' if host.startswith('.') else ''}{host}" for host in named]


def words(name: str, *, default: str) -> list[str]:
    """Read a list written with commas."""
    text = os.environ.get(name, default)
    return [word.strip() for word in text.split(",") if word.strip()]
