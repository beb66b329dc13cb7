"""Who is who at Wrackline Soap Works, and who writes what into its book."""

from collections.abc import Mapping
from typing import Any

from django.contrib.auth import get_user_model
from django.contrib.auth.hashers import make_password
from django.contrib.auth.models import Group

from production.exchange import domain as history
from production.record.actions.people import MAKER, OWNER

INES, TOBIAS, WREN = LOGINS = ("ines", "tobias", "wren")
LOGIN = INES
People = Mapping[str, Any]

# Ines owns and releases, Wren keeps the stall, and Tobias makes: what an event is,
# and a word that stands in it where others write some of its kind. The first counts.
SIGNS = (
    (WREN, "move", ""),
    (WREN, "sale", "Saturday stall"),
    (WREN, "loss", "Saturday stall"),
    (WREN, "given", "Saturday stall"),
    (WREN, "given", "recipient"),
    (WREN, "use", "LAB-"),
    (INES, "make", "-DIL-"),
    (INES, "work", "-DIL-"),
    (INES, "batch_loss", "-DIL-"),
    (INES, "step", "soft by morning"),
    (INES, "step", "Deviation"),
    (INES, "reweigh", "Deviation"),
    (INES, "measurement", "against the retained bottle"),
    *(
        (INES, kind, "")
        for kind in (
            *("formula", "purchase", "price", "extra_cost", "fragrance_document"),
            *("count", "closing", "status", "promotion", "sale", "return"),
        )
    ),
)


def let_in(password: str) -> People:
    """The three of them, each with that password."""
    # Hashed once: it is slow on purpose.
    hashed = make_password(password)
    return {
        INES: _person(INES, "Ines Harrow", OWNER, hashed),
        TOBIAS: _person(TOBIAS, "Tobias Quill", MAKER, hashed),
        WREN: _person(WREN, "Wren Adair", MAKER, hashed),
    }


def _person(login: str, name: str, group: str, hashed: str) -> Any:
    first, last = name.split()
    person = get_user_model().objects.create(
        username=login,
        password=hashed,
        first_name=first,
        last_name=last,
    )
    person.groups.add(Group.objects.get(name=group))
    return person


def who_writes(event: history.Group) -> str:
    """Whose hand an event is in."""
    told = str(event.facts)
    for person, kind, word in SIGNS:
        if kind == event.where and word in told:
            return person
    return TOBIAS
