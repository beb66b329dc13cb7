"""``import_history``: replay a workshop's past from one neutral file."""

import sys
from pathlib import Path

from django.contrib.auth import get_user_model

from production.buying.reads.bills import waiting_bills
from production.contents.reads.contents import materials_without_role
from production.exchange.actions.replaying import import_history
from production.exchange.domain.listed import all_events
from production.fitness.reads.what_left import leavings
from production.pages.commands import HouseCommand
from production.quantities.domain.refusal import Refused
from production.record.domain.text import PAST


class Command(HouseCommand):
    help = "Replay a history file by the same rules as the pages, all or nothing."
    example = (
        """\
A file with one purchase, piped in:

  echo '{"format": "kettlebook-history", "version": 1, "currency": "USD", "events": [
    {"type": "purchase", "date": "2026-11-20", "number": "PO-HELP", "supplier": "Northmere Oils",
     "lines": [{"lot": "HELP-1", "item": "rapeseed oil", "unit": "g", "amount": "5000",
                "price": "21.50"}]}]}' | python manage.py import_history -

Every quantity and amount of money is a number in quotes; events stand in the order of
their dates. Types and what they need; in brackets what they may say, in braces the keys
of a group, or of each group in a list:

"""
        + all_events()
        + """

Kinds of loss: steam, left on the walls, bench sample, weighing difference (part of the
work); spill, boiled over, burnt, dropped, thrown away (an expense, also in a file of
before); other.

Lots are released on their own date unless "status" says otherwise; an imported paste
has no check on file.
"""
    )

    def add_arguments(self, parser):
        parser.add_argument("file", metavar="FILE", help="JSON, - reads what is piped")
        parser.add_argument(
            "--by", metavar="USER", help="who signs; else the inactive user history"
        )

    def answer(self, *, file, by, **options):
        count = import_history(text=_text(file), by=_person(by))
        events = "1 event was" if count == 1 else f"{count} events were"
        said = f"{events} replayed.{_without_role()}"
        return "\n".join([said, *_left_after_a_failure(), *_not_shared()])


def _not_shared() -> list[str]:
    """An earlier book may have shared such a cost by value without saying so."""
    return [
        f"{bill.purchase}: the {extra.asks}"
        for bill in waiting_bills()
        for extra in bill.extras
        if extra.asks
    ]


def _left_after_a_failure() -> list[str]:
    """What left in that past although a check that was not passed stood against it."""
    return [
        f"{row.lot} was {row.movement.kind} on {row.movement.on} ({row.who}). "
        f"{row.then[0].says}"
        for row in leavings(key=PAST)
        if row.failed_then
    ]


def _without_role() -> str:
    """The materials that somebody must still say something about."""
    names = [item.name for item in materials_without_role()]
    if not names:
        return ""
    one = len(names) == 1
    these = "This material has" if one else "These materials have"
    it = "it is before it is" if one else "they are before they are"
    return f" {these} no role yet: {', '.join(names)}; say what {it} used."


def _text(file: str) -> str:
    try:
        if file == "-":
            return sys.stdin.read()
        return Path(file).read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as fault:
        raise Refused(f"{file} cannot be read as UTF-8 text: {fault}") from None


def _person(name: str | None):
    if not name:
        return None
    person = get_user_model().objects.filter(username=name).first()
    if person is None:
        raise Refused(f"There is no person {name} here. Leave --by out, or add them.")
    return person
