"""``demo``: an invented workshop with a year behind it, ready to look at."""

import argparse
import secrets
import sys

from django.conf import settings
from django.contrib.auth import get_user_model
from django.contrib.auth.hashers import make_password
from django.core.management import execute_from_command_line
from django.db import DatabaseError

from config.demo import fill
from config.demo.building import build
from config.demo.people import LOGIN, LOGINS
from config.demo.telling import tell
from config.demo_mark import NO_DEMO, made_by_the_demo
from config.health import unapplied
from config.opening import database_file
from config.serving import refuse_taken, serve
from production.pages.commands import HouseCommand
from production.quantities.domain.refusal import Refused

# Not that of a workshop's own book: both may be open at once.
BIND = "127.0.0.1:8100"
HERE = "localhost,127.0.0.1,[::1]"


class Command(HouseCommand):
    help = (
        "Build the demo workshop, print what it adds up to, and serve it. "
        "What the demo did not make itself is never touched."
    )
    example = f"""\
  python manage.py demo
  python manage.py demo --no-serve
  python manage.py demo --keep
  python manage.py demo cost TIDE-8OZ-1

Ines Harrow's year with paste and bottles, all invented. It stands in a folder of its
own, .demo beside manage.py (KETTLEBOOK_DEMO_HOME names another; KETTLEBOOK_HOME is not
looked at), or in an empty PostgreSQL database that DATABASE_URL names, and is served on
{BIND} under its own cookies. Any other command behind "demo" asks the demo.

Build it again at any time, while nobody else wrote in it. Where somebody did, --keep
serves it as it stands, and --set-aside builds a new one and keeps the old one under a
dated name. The password is new at each start and is shown only then.
"""

    def add_arguments(self, parser):
        parser.add_argument(
            "--no-serve", action="store_true", help="stop before serving"
        )
        old = parser.add_mutually_exclusive_group()
        old.add_argument(
            "--keep", action="store_true", help="build nothing: serve what stands"
        )
        old.add_argument(
            "--set-aside",
            action="store_true",
            help="keep the demo that stands under a dated name",
        )
        parser.add_argument(
            "--bind", default=BIND, metavar="HOST:PORT", help=f"{BIND} unless said"
        )
        parser.add_argument(
            "command",
            nargs=argparse.REMAINDER,
            metavar="COMMAND",
            help="any other command, asked of the demo",
        )

    def answer(self, *, command, no_serve, keep, set_aside, bind, **options):
        if not settings.DEMO:
            raise Refused(
                "Start it as python manage.py demo, with KETTLEBOOK_DEMO unset."
            )
        if command:
            if command[0] != "restore":
                refuse_without_demo()
            execute_from_command_line([sys.argv[0], *command])
            return
        if not no_serve:
            refuse_taken(bind)
        password = secrets.token_urlsafe(9)
        if keep:
            open_again(password)
        else:
            self._build(password, set_aside)
        self.stdout.write(f"The demo stands in {settings.HOME}.")
        self.stdout.write(f"Sign in as {LOGIN}, password {password}")
        if no_serve:
            return
        self.stdout.write(f"Open http://{bind}/ ; Ctrl-C stops it.")
        self.stdout.flush()
        serve(bind, **served_apart(bind))

    def _build(self, password, set_aside):
        aside = build(lambda: fill(password), keep_old=set_aside)
        self.stdout.write(tell())
        if aside:
            self.stdout.write(f"The demo that stood there is kept: {aside}")


def refuse_without_demo():
    """No command may begin another book where the demo stands or will stand."""
    file = database_file()
    try:
        # To ask makes an empty file where there is none.
        stands = (file is None or file.exists()) and made_by_the_demo()
    except DatabaseError:
        stands = False
    if not stands:
        raise Refused(NO_DEMO)


def open_again(password):
    """The invented people of a demo that stands get a password that is known."""
    refuse_without_demo()
    if waiting := unapplied():
        raise Refused(
            f"The demo was built by another Kettlebook: {waiting[0]} is lacking. Run "
            "python manage.py demo migrate, or build it again with --set-aside."
        )
    invented = get_user_model().objects.filter(username__in=LOGINS)
    invented.update(password=make_password(password))


def served_apart(bind):
    """The environment of its server: nothing that was set for a workshop's own."""
    hosts = [HERE, bind.rpartition(":")[0], *settings.ALLOWED_HOSTS]
    return {
        "KETTLEBOOK_DEMO": "yes",
        "SECRET_KEY": secrets.token_urlsafe(50),
        "DEBUG": "no",
        "HTTPS": "no",
        "TRUSTED_PROXY": "",
        "CSRF_TRUSTED_ORIGINS": "",
        "ALLOWED_HOSTS": ",".join(hosts),
    }
