"""The shape of every command: an example that runs, and refusals as sentences."""

import json
from argparse import RawDescriptionHelpFormatter
from typing import Any

from django.core.management.base import (
    BaseCommand,
    CommandError,
    DjangoHelpFormatter,
)

from production.domain.codes import mistyped, normalise
from production.domain.refusal import Refused
from production.models import Lot


class _HelpFormatter(DjangoHelpFormatter, RawDescriptionHelpFormatter):
    """Leaves the lines of the example where they are."""


class HouseCommand(BaseCommand):
    """Subclasses set ``help`` and ``example`` and write ``answer``."""

    example = ""

    def create_parser(self, prog_name, subcommand, **kwargs):
        return super().create_parser(
            prog_name,
            subcommand,
            epilog=self.example,
            formatter_class=_HelpFormatter,
            **kwargs,
        )

    def handle(self, *args, **options):
        try:
            text = self.answer(**options)
        except Refused as refusal:
            raise CommandError(str(refusal)) from refusal
        if text:
            self.stdout.write(text)

    def answer(self, **options) -> str:
        raise CommandError("This command says nothing.")


def as_json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, indent=2)


def find_lot(code: str) -> Lot:
    """Look a typed code up as it stands; only an unknown one is tested."""
    lots = Lot.objects.select_related("item")
    for spelling in (code, code.strip(), normalise(code)):
        if lot := lots.filter(code=spelling).first():
            return lot
    if mistyped(code):
        raise Refused(
            f"There is no lot {code}; if it is one of ours it is mistyped, since its "
            "check character does not fit."
        )
    raise Refused(f"There is no lot {code}. Look at the list of lots for its code.")
