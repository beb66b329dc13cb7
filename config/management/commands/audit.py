"""``audit``: prove the laws of the book on the live database."""

from django.core.management.base import CommandError

from config.audit import audit
from production.pages.commands import HouseCommand


class Command(HouseCommand):
    help = "Prove the laws of the book; ends with an error that names what breaks one."
    example = """\
  python manage.py audit
"""

    def answer(self, **options):
        broken = []
        for number, finding in enumerate(audit(), start=1):
            word = "broken" if finding.faults else "holds"
            self.stdout.write(f"{number} {finding.law}: {word} ({finding.looked_at})")
            for fault in finding.faults:
                self.stdout.write(f"    {fault}")
            for note in finding.apart:
                self.stdout.write(f"    (no fault) {note}")
            broken += finding.faults[:1]
        if broken:
            raise CommandError(
                f"{len(broken)} of 7 laws do not hold: {'; '.join(broken)}."
            )
        return "All seven laws hold."
