"""``remake_values``: make what is kept of every value anew from the entries."""

from django.conf import settings

from costing.actions.keeping import remake_values
from production.pages.commands import HouseCommand


class Command(HouseCommand):
    help = (
        "Make what is kept of the value of every lot anew from the entries. Only "
        "needed where audit, or a new version, says that the two differ."
    )
    example = """\
  python manage.py remake_values
"""

    def answer(self, **options):
        lots = remake_values(settings.VERSION)
        return f"The values of {lots} {'lot' if lots == 1 else 'lots'} were made anew."
