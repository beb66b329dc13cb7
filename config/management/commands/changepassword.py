"""``changepassword`` of the framework would write past the book: it is refused."""

from config.management.refused import SAYS, RefusedCommand


class Command(RefusedCommand):
    example = f"python manage.py changepassword is refused. {SAYS}"
