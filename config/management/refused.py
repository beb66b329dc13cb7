"""Commands of the framework that would write past the book."""

from production.pages.commands import HouseCommand
from production.quantities.domain.refusal import Refused

SAYS = "Run python manage.py add_owner NAME instead: the book keeps that it was done."


class RefusedCommand(HouseCommand):
    help = "Not in this house: add_owner does it."

    def answer(self, **options):
        raise Refused(SAYS)
