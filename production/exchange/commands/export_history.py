"""``export_history``: a workshop's past as one neutral, canonical file."""

import sys
from pathlib import Path

from production.exchange.domain.listed import all_events
from production.exchange.reads import history_events
from production.pages.commands import HouseCommand
from production.quantities.domain.refusal import Refused
from production.record.domain.text import write
from production.record.models.workshop import Workshop


class Command(HouseCommand):
    help = (
        "Write the past that stands as one history file; entries taken back stay out."
    )
    example = (
        """\
  python manage.py export_history -

Importing the file into an empty database and exporting again gives the same bytes. It
is for moving; "backup" keeps every correction and every paper, which are not in this
file. Nor are label cards. A figure that was put right is told as it is now: what stood
before, and why it was put right, stays behind.

The events and their keys:

"""
        + all_events()
        + "\n"
    )

    def add_arguments(self, parser):
        parser.add_argument("file", metavar="FILE", help="where to write; - prints it")

    def answer(self, *, file, **options):
        workshop = Workshop.objects.first()
        currency = workshop.currency if workshop else "USD"
        events = history_events()
        text = write(currency, events)
        if file == "-":
            sys.stdout.write(text)
            return ""
        try:
            Path(file).write_text(text, encoding="utf-8")
        except OSError as fault:
            raise Refused(f"{file} cannot be written: {fault}") from fault
        return f"{len(events)} events were written to {file}."
