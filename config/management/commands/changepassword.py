"""``changepassword`` of the framework would write past the book: it is refused."""

from production.domain.refusal import Refused
from production.management.house import HouseCommand

SAYS = "Run python manage.py add_owner NAME instead: the book keeps that it was done."


class Command(HouseCommand):
    help = "Not in this house: add_owner does it."
    example = f"python manage.py changepassword is refused. {SAYS}"

    def answer(self, **options):
        raise Refused(SAYS)
