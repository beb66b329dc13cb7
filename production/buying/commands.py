"""``import_purchases``: a sheet of purchases into the book, all of it or nothing."""

import sys
from pathlib import Path

from django.contrib.auth import get_user_model

from production.buying.actions.purchase_sheet import record_purchases, recorded_from
from production.buying.domain.purchase_sheet import lay_out
from production.buying.forms.purchase_sheet.invoices import PurchaseSheet
from production.pages.commands import HouseCommand
from production.papers.files.sheets_in import digest, read_sheet
from production.papers.files.sheets_unseen import left_unseen
from production.quantities.domain.refusal import Refused


class Command(HouseCommand):
    help = "Write a sheet of purchases (xlsx or csv) into the book, all or nothing."
    example = """\
A sheet of two rows, piped in and only read:

  printf '%s\\n' 'Arrived;Supplier;Invoice;Item;Kind;Amount;Price' \\
    '2026-01-05;Northmere Oils;NO-HELP;Rapeseed oil;material;2 lb 3 oz;21.50' \\
    | python manage.py import_purchases - --dry-run

The page under Purchases gives a sheet to fill in, with a word on every column.
"""

    def add_arguments(self, parser):
        parser.add_argument("file", metavar="FILE", help="- reads what is piped")
        parser.add_argument("--by", metavar="USER", help="who signs for it")
        parser.add_argument(
            "--dry-run", action="store_true", help="only say what would be written"
        )

    def answer(self, *, file, by, dry_run, **options):
        raw = _bytes(file)
        mark = digest(raw)
        if before := recorded_from(mark):
            raise Refused(
                "This very file is in the book already, as "
                f"{_listed([p.number for p in before])}. Nothing was added."
            )
        sheet = PurchaseSheet(lay_out(read_sheet(raw)))
        if sheet.faults:
            faults = "\n".join(str(fault) for fault in sheet.faults)
            raise Refused(f"Nothing was written.\n{faults}")
        if not dry_run:
            record_purchases(
                mark=mark,
                new_items=sheet.new_items,
                arrivals=sheet.arrivals,
                by=_person(by),
            )
        told = _told(sheet, "Would be written" if dry_run else "Written")
        return "\n".join((told, *left_unseen(raw)))


def _told(sheet, done):
    words = [f"{arrival.number} from {arrival.supplier}" for arrival in sheet.arrivals]
    lines = [f"{done}: {_listed(words)}."]
    for heading, names in (
        ("New items", [item.name for item in sheet.new_items]),
        ("New suppliers", sheet.new_suppliers),
        ("Columns left aside", sheet.sheet.aside),
    ):
        if names:
            lines.append(f"{heading}: {_listed(names)}.")
    return "\n".join(lines)


def _listed(words, most=10):
    more = f" and {len(words) - most} more" if len(words) > most else ""
    return ", ".join(words[:most]) + more


def _bytes(file):
    try:
        return sys.stdin.buffer.read() if file == "-" else Path(file).read_bytes()
    except OSError as fault:
        raise Refused(f"{file} cannot be read: {fault.strerror}.") from None


def _person(name):
    """Who signs: the one that is named, or the only one there is."""
    people = get_user_model().objects.filter(is_active=True)
    if name:
        person = people.filter(username=name).first()
        if person is None:
            raise Refused(f"There is no person {name} here. Add them, or name another.")
        return person
    if len(found := list(people[:2])) != 1:
        raise Refused("Say who signs for it, such as --by ines.")
    return found[0]
