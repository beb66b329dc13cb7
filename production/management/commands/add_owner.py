"""``add_owner``: the first who may sign in, or the last way in."""

import getpass
import sys

from production.actions.people import add_owner
from production.domain.refusal import Refused
from production.management.house import HouseCommand
from production.reads.clock import today


class Command(HouseCommand):
    help = "Add an owner, or let one in again with a new password."
    example = """\
  python manage.py add_owner ines

It asks for the password twice, or reads it from what is piped in. Whoever may run this
has the book already, so nobody need be signed in; the book keeps that it was done here.
Everybody else is added on the page Workshop.
"""

    def add_arguments(self, parser):
        parser.add_argument("name", metavar="NAME", help="what they sign in as")

    def answer(self, *, name, **options):
        person = add_owner(username=name, password=_password(), on=today())
        return f"{person} is an owner and may sign in."


def _password():
    if not sys.stdin.isatty():
        return sys.stdin.readline().rstrip("\r\n")
    first = getpass.getpass("Password: ")
    if first != getpass.getpass("Once more: "):
        raise Refused("The two are not the same: nothing was written. Try again.")
    return first
