"""``add_owner``: the first who may sign in, or the last way in."""

import getpass
import sys

from production.pages.commands import HouseCommand
from production.quantities.domain.refusal import Refused
from production.record.reads.clock import today
from production.workshop.actions.people import add_owner

DIFFER = "The two are not the same: nothing was written. Try again."


class Command(HouseCommand):
    help = "Add an owner, or let one in again with a new password."
    example = """\
  python manage.py add_owner ines

It asks for the password twice, or reads it, once or twice, from what is piped in.
Whoever may run this has the book already, so nobody need be signed in; the book keeps
that it was done here. Everybody else is added on the page Workshop.
"""

    def add_arguments(self, parser):
        parser.add_argument("name", metavar="NAME", help="what they sign in as")

    def answer(self, *, name, **options):
        person = add_owner(username=name, password=_password(), on=today())
        return f"{person} is an owner and may sign in."


def _password():
    if not sys.stdin.isatty():
        first, *again = sys.stdin.read().splitlines() or [""]
        if any(line != first for line in again if line):
            raise Refused(DIFFER)
        return first
    first = getpass.getpass("Password: ")
    if first != getpass.getpass("Once more: "):
        raise Refused(DIFFER)
    return first
