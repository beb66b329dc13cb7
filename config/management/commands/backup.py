"""``backup``: one file of everything, also while the book is served."""

from config.backups import back_up
from production.pages.commands import HouseCommand


class Command(HouseCommand):
    # The pages are no matter here, and are not loaded.
    requires_system_checks: list[str] = []
    help = "Write database and attached files into one file, read it back and prove it."
    example = """\
  python manage.py backup

It may run while the book is served. Without a name the file goes into the folder
backups of the home folder: copy it to another disk. Name a file or a folder to write it
there at once; a file that is there is never replaced.
"""

    def add_arguments(self, parser):
        parser.add_argument(
            "file", metavar="FILE", nargs="?", help="a file that is not there yet"
        )

    def answer(self, *, file, **options):
        return back_up(file)
