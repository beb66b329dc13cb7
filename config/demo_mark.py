"""A demo and a workshop's own book are never taken for each other."""

from django.conf import settings

from production.models import Workshop
from production.quantities.domain.refusal import Refused

OWN_BOOK = (
    "This database was made by the demo, with its invented people and lots, so it is "
    "no workshop's book. To look at it: python manage.py demo --keep, with "
    "KETTLEBOOK_DEMO_HOME naming its folder if that is not .demo. A book of your own "
    "starts in an empty folder: name one in KETTLEBOOK_HOME (or an empty database in "
    "DATABASE_URL), then migrate. What somebody wrote here goes with you as a file: "
    "python manage.py demo export_history --help."
)
NO_DEMO = (
    "No demo stands here. python manage.py demo builds it; a book of your own is "
    "served by python manage.py serve."
)


def made_by_the_demo() -> bool:
    """Whether the database itself says so, wherever it lies."""
    return list(Workshop.objects.values_list("demo", flat=True)) == [True]


def refuse_out_of_place() -> None:
    """A demo is served as one, with its band, and nothing else ever is."""
    if made_by_the_demo() != settings.DEMO:
        raise Refused(NO_DEMO if settings.DEMO else OWN_BOOK)
