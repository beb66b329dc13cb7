"""``restore``: put a backup back; what stood there is set aside."""

from config.backups import restore
from production.pages.commands import HouseCommand


class Command(HouseCommand):
    # The pages are no matter here, and are not loaded.
    requires_system_checks: list[str] = []
    help = "Put a backup in the place of the book, all of it or nothing."
    example = """\
  python manage.py restore kettlebook-2026-11-28-180000.zip

Stop serving first. The file is proved before anything is touched. A database that
stands there is set aside under a dated name, and never deleted; attached files stay.
On PostgreSQL name an empty database in DATABASE_URL. An older backup is brought up to
date; one of a newer Kettlebook is refused.
"""

    def add_arguments(self, parser):
        parser.add_argument("file", metavar="FILE", help="what backup wrote")

    def answer(self, *, file, **options):
        return restore(file)
