"""``unlock``: let somebody in again after too many wrong passwords."""

from django.contrib.auth import get_user_model

from production.pages.commands import HouseCommand
from production.quantities.domain.refusal import Refused
from production.record.reads.clock import today
from production.workshop.actions.people import unlock


class Command(HouseCommand):
    help = "Forget the wrong passwords that shut a name out."
    example = """\
  python manage.py unlock ines

The password stays as it is. An owner who is signed in does the same on the page
Workshop; a forgotten password is given anew there, or by add_owner.
"""

    def add_arguments(self, parser):
        parser.add_argument("name", metavar="NAME", help="what they sign in as")

    def answer(self, *, name, **options):
        person = get_user_model().objects.filter(username=name).first()
        if person is None:
            raise Refused(f"There is no person {name} here.")
        reason = "By unlock, at the machine itself."
        unlock(person=person, on=today(), by=person, reason=reason)
        return f"{person} may try again."
