"""The shape of every command: an example that runs, and refusals as sentences."""

import json
import sys
from argparse import RawDescriptionHelpFormatter
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

from django.core.management.base import (
    BaseCommand,
    CommandError,
    DjangoHelpFormatter,
)
from django.db import DatabaseError

from production.papers.domain.disk_full import no_room
from production.quantities.domain.refusal import Refused
from production.record.domain.odd_dates import refuse_far
from production.record.reads.clock import today

# Signs of a page that a console may not have.
_CONSOLE = str.maketrans({"\N{NARROW NO-BREAK SPACE}": " ", "\N{MINUS SIGN}": "-"})


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
            if text := self.answer(**options):
                self.stdout.write(text.translate(_CONSOLE))
        except Refused as refusal:
            raise CommandError(no_room(refusal) or _sayable(refusal)) from refusal
        except OSError as fault:
            if says := no_room(fault):
                raise CommandError(says) from fault
            raise
        except DatabaseError as fault:
            says = (
                f"The database does not answer as it should ({fault}). Is it running, "
                "and has python manage.py migrate been run?"
            )
            raise CommandError(no_room(fault) or says) from fault
        except ArithmeticError as fault:
            raise CommandError(
                "A figure is too large or too fine to be worked with: check them."
            ) from fault
        except UnicodeEncodeError as fault:
            raise CommandError(
                "A text holds a character that cannot be written here."
            ) from fault

    def answer(self, *args: Any, **options: Any) -> str:
        raise CommandError("This command says nothing.")


def _sayable(refusal: Refused) -> str:
    """Its sentence; half a character that it quotes cannot be written anywhere."""
    return str(refusal).encode("utf-8", "replace").decode()


def read_json(source: str) -> Any:
    """Read a file of JSON ("-" is what is piped in): decimals stay exact, and a key
    stands once."""
    try:
        text = sys.stdin.read() if source == "-" else Path(source).read_text("utf-8")
        return json.loads(
            text.removeprefix("\ufeff"),
            parse_float=Decimal,
            parse_int=Decimal,
            object_pairs_hook=_each_key_once,
        )
    except (OSError, UnicodeDecodeError) as fault:
        raise Refused(f"{source} cannot be read as UTF-8 text: {fault}") from None
    except (ValueError, RecursionError) as fault:
        raise Refused(f"{source} cannot be read as JSON: {fault}") from None


def _each_key_once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """JSON lets the last of two equal keys win, silently."""
    keys = [key for key, _ in pairs]
    for key in keys:
        if keys.count(key) > 1:
            raise Refused(f"Keep one {key!r}: it stands there twice.")
    return dict(pairs)


def read_day(text: str | None) -> date:
    """A day like 2026-01-31, today where none is written."""
    if not text:
        return today()
    try:
        day = date.fromisoformat(text)
    except ValueError:
        raise Refused(f"{text} is no day: write it like 2026-01-31.") from None
    refuse_far(day)
    return day


def as_json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, indent=2)
