"""A digest of what a deed was told, so that a resend is known from another entry."""

import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import fields, is_dataclass
from datetime import date, datetime, time
from decimal import Decimal
from enum import Enum
from typing import Any

from django.contrib.auth.hashers import make_password
from django.db.models import Model, QuerySet

# Kept only as slowly hashed as a password itself is.
SECRET = "password"


def digest_of(plain: Any) -> str:
    """The digest of a plain value, the same in any order of its names."""
    text = json.dumps(plain, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def told(key: str, facts: Mapping[str, Any]) -> str:
    """The digest of arguments: rows by their number, figures by their value."""
    return digest_of(
        {
            name: secret(key, value) if SECRET in name else _plain(value)
            for name, value in facts.items()
            if not callable(value)
        }
    )


def secret(key: str, text: str) -> str:
    """A password that can be compared and not guessed from its digest."""
    salt = hashlib.sha256(key.encode()).hexdigest()[:22]
    return make_password(text, salt=salt)


def held(facts: dict[str, Any]) -> dict[str, Any]:
    """The same facts; what can be gone through only once is gone through here."""
    return {
        name: list(value) if isinstance(value, Iterator) else value
        for name, value in facts.items()
    }


def _plain(value: Any) -> Any:
    if isinstance(value, Enum):
        value = value.value
    if value is None or isinstance(value, str | bool | int):
        return value
    if isinstance(value, Decimal):
        return f"{value.normalize():f}" if value else "0"
    if isinstance(value, date | datetime | time):
        return value.isoformat()
    if isinstance(value, bytes):
        return hashlib.sha256(value).hexdigest()
    if isinstance(value, Model):
        return _row(value)
    if is_dataclass(value) and not isinstance(value, type):
        return [
            type(value).__name__,
            {
                one.name: _plain(getattr(value, one.name))
                for one in fields(value)
                if one.compare
            },
        ]
    return _several(value)


def _row(row: Model) -> Any:
    """A row by its number; one that is not written yet by all it says."""
    name = row._meta.label
    if row.pk is not None:
        return [name, str(row.pk)]
    facts = {one.attname: _plain(getattr(row, one.attname)) for one in row._meta.fields}
    return [name, facts]


def _several(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {str(name): _plain(one) for name, one in value.items()}
    if isinstance(value, set | frozenset):
        return sorted((_plain(one) for one in value), key=repr)
    if isinstance(value, QuerySet | Iterable):
        return [_plain(one) for one in value]
    return repr(value)
