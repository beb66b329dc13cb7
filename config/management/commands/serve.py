"""``serve``: put the house on the network, once it is fit for it."""

from django.conf import settings

from config.demo_mark import refuse_out_of_place
from config.env import EXAMPLE
from config.health import refuse_unfit
from config.serving import BIND, refuse_taken, refuse_unsafe, serve
from costing.actions.keeping import refuse_other_values
from production.pages.commands import HouseCommand


class Command(HouseCommand):
    help = "Serve the pages with waitress; refuses while the house is not fit."
    example = f"""\
  SECRET_KEY={EXAMPLE} python manage.py serve --bind 127.0.0.1:8000

It needs a SECRET_KEY of 50 characters or more and a migrated database. For people
outside this computer put a web server with a certificate in front of it, and set
ALLOWED_HOSTS and HTTPS=yes; TRUSTED_PROXY where that server is another machine.
"""

    def add_arguments(self, parser):
        parser.add_argument(
            "--bind", default=BIND, metavar="HOST:PORT", help=f"{BIND} unless said"
        )

    def answer(self, *, bind, **options):
        refuse_unsafe()
        refuse_unfit()
        refuse_out_of_place()
        refuse_other_values(settings.VERSION)
        refuse_taken(bind)
        serve(bind)
