"""``demo``: an invented workshop with a year behind it, ready to look at."""

import secrets

from config.demo import fill
from config.demo.building import build
from config.demo.telling import tell
from config.demo.workshop import LOGIN
from config.serving import BIND, refuse_taken, serve
from production.management.house import HouseCommand


class Command(HouseCommand):
    help = (
        "Build the demo workshop, print what it adds up to, and serve it. "
        "A workshop that is not a demo is never touched."
    )
    example = f"""\
  python manage.py demo

Ines Harrow's year with paste and bottles, all invented. Build it again at any time:
what you did in it goes. It is served on {BIND}; --no-serve only builds and prints.
"""

    def add_arguments(self, parser):
        parser.add_argument(
            "--no-serve", action="store_true", help="stop before serving"
        )
        parser.add_argument(
            "--bind", default=BIND, metavar="HOST:PORT", help=f"{BIND} unless said"
        )

    def answer(self, *, no_serve, bind, **options):
        if not no_serve:
            refuse_taken(bind)
        password = secrets.token_urlsafe(9)
        build(lambda: fill(password))
        self.stdout.write(tell())
        self.stdout.write(f"Sign in as {LOGIN}, password {password}")
        if no_serve:
            return
        self.stdout.write(f"Open http://{bind}/ ; Ctrl-C stops it.")
        self.stdout.flush()
        serve(bind, SECRET_KEY=secrets.token_urlsafe(50))
