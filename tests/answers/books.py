"""The books that are asked: made once, kept as history files, imported each time."""

import io
import random
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path
from unittest import mock

from django.core.management import call_command
from django.db import transaction

from config.demo import fill
from production.batches.actions.batches import run_batch
from production.batches.actions.new_batch import Output, Use
from production.models import Lot
from tests import make
from tests.production.random_workshop import OFTEN, VERBS, Dice, RandomWorkshop
from tests.production.recipes.random_recipe import draw
from tests.production.recipes.random_recipe import write as write_recipe

# Every book is asked at one moment, so that a record holds on any day.
NOW = datetime(2026, 11, 30, 12, tzinfo=UTC)
DEMO = "demo"
RECIPES = 2


@contextmanager
def a_book() -> Iterator[None]:
    """What is written inside is rolled back; the clock stands still."""
    with (
        mock.patch("django.utils.timezone.now", return_value=NOW),
        transaction.atomic(),
    ):
        yield
        transaction.set_rollback(True)


def make_missing(folder: Path, workshops: int, seed: int) -> None:
    """Fill an empty folder with the demo and so many random workshops."""
    folder.mkdir(parents=True, exist_ok=True)
    if any(folder.glob("*.json")):
        return
    keep(folder / f"{DEMO}.json", lambda: fill("only to be asked"))
    for number in range(workshops):
        dice = random.Random(f"{seed}-{number}")
        keep(folder / f"workshop-{number:02}.json", lambda dice=dice: live(dice))


def keep(file: Path, fill_book) -> None:
    with a_book():
        fill_book()
        call_command("export_history", str(file), stdout=io.StringIO())


def live(dice: random.Random) -> None:
    """A random past, and then recipes of pastes by which something is cooked."""
    buys = [("buy", _numbers(dice)) for _ in range(3)]
    verbs = [*VERBS, *OFTEN]
    rest = [(dice.choice(verbs), _numbers(dice)) for _ in range(30)]
    RandomWorkshop().play(buys + rest)
    for number in range(RECIPES):
        _cook(write_recipe(draw(Dice(_numbers(dice, 60))), f" {number + 1}"))


def _numbers(dice: random.Random, many: int = 6) -> list[int]:
    return [dice.randrange(10**6) for _ in range(many)]


def _cook(written) -> None:
    """Some of it, weighed to the gram by a rule of thumb, so that a paste stands."""
    drawn = written.drawn
    grams = Decimal(700)
    uses = [
        Use(lot=written.items[name].lots.last(), amount=grams * share)
        for name, share in (
            (f"{line.key}{_mark(written)}", line.share) for line in drawn.lines
        )
    ]
    tubs = [Lot.objects.get(code=code) for code in written.tubs.values()]
    uses += [Use(lot=tub, amount=Decimal(90) / len(tubs)) for tub in tubs]
    uses.append(Use(item=written.items["water"], amount=Decimal(300)))
    run_batch(
        stage="cook",
        version=written.version,
        uses=uses,
        output=Output(Decimal(1050), written.paste, status="released"),
        lost_as="steam",
        **make.act(9, reason="it was so"),
    )


def _mark(written) -> str:
    return written.version.formula.name.removeprefix("cook")


def take_in(file: Path) -> None:
    """Import one kept past."""
    call_command("import_history", str(file), stdout=io.StringIO())
