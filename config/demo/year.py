"""The whole invented year, January to November 2026, as its people wrote it."""

from collections.abc import Iterable
from datetime import date

from django.db import transaction

from config.demo.acts import (
    BETWEEN,
    FIXTURES,
    invent_assessments,
    write_labels,
    write_own_rule,
)
from config.demo.people import People, let_in, who_writes
from config.demo.prices import write_prices
from production.exchange.actions.replaying import carry_out
from production.models import Deed
from production.record.domain.text import Group, read
from production.record.reads.clock import told_by
from production.workshop.actions.cards import set_up_workshop

END = date(2026, 11, 30)


def fill(password: str) -> None:
    """Fill an empty, migrated database; the three people sign in with ``password``."""
    with told_by(END), transaction.atomic():
        people = let_in(password)
        currency, events = told()
        set_up_workshop(name="The demo", currency=currency, demo=True)
        write(events, people)
        write_labels()
        last = Deed.objects.latest("on").on
        write_own_rule(people, last)
        invent_assessments(people, last)
        write_prices(people, last)


def told() -> tuple[str, list[Group]]:
    """The history file of the demo: its currency, and event by event."""
    text = (FIXTURES / "demo" / "year.json").read_text(encoding="utf-8")
    return read(text)


def write(events: Iterable[Group], people: People) -> None:
    """Each by the deed of its kind, asked all that its page would ask."""
    waiting = list(BETWEEN)
    for event in events:
        while waiting and "date" in event.facts and event.day("date") > waiting[0][0]:
            on, act = waiting.pop(0)
            act(people, on)
        carry_out(event, by=people[who_writes(event)])
