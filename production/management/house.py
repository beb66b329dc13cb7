"""The shape of every command: an example that runs, and refusals as sentences."""

import json
from argparse import RawDescriptionHelpFormatter
from typing import Any

from django.core.management.base import (
    BaseCommand,
    CommandError,
    DjangoHelpFormatter,
)

from production.domain.refusal import Refused


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
