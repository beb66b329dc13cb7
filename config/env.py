"""Settings from the environment, loud about nonsense."""

import os

from django.core.exceptions import ImproperlyConfigured

YES = {"1", "yes", "true", "on"}
NO = {"0", "no", "false", "off"}


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


def words(name: str, *, default: str) -> list[str]:
    """Read a list written with commas."""
    text = os.environ.get(name, default)
    return [word.strip() for word in text.split(",") if word.strip()]
