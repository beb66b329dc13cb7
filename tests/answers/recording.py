"""Ask every book everything, and write the answers down in one order."""

import json
from collections.abc import Iterator
from pathlib import Path
from zlib import crc32

from django.test import Client

from config.demo import fill
from tests import make
from tests.answers.books import DEMO, a_book, take_in
from tests.answers.commands import ask_commands
from tests.answers.plans import ask_plans
from tests.answers.sights import ask_pages

BUILT = f"{DEMO} built"
# A random workshop has many lots alike; another one asks about others.
SOME = 3


def record(file: Path, folder: Path, only: str = "") -> int:
    """Write the record of all books of a folder; how many answers there are."""
    rows = []
    for book, fill_book in _books(folder):
        if not book.startswith(only):
            continue
        with a_book():
            fill_book()
            rows += [
                {"book": book, "kind": kind, "asked": asked, "answer": answer}
                for kind, asked, answer in ask(1 if book == BUILT else SOME)
            ]
    rows.sort(key=lambda row: (row["book"], row["kind"], row["asked"]))
    lines = (json.dumps(row, ensure_ascii=False, sort_keys=True) for row in rows)
    file.write_text("".join(f"{line}\n" for line in lines), encoding="utf-8")
    return len(rows)


def _books(folder: Path):
    """The demo as its own code builds it, then every kept past."""
    if (folder / f"{DEMO}.json").exists():
        yield BUILT, lambda: fill("only to be asked")
    for file in sorted(folder.glob("*.json")):
        yield file.stem, lambda file=file: take_in(file)


def ask(one_of: int = 1) -> Iterator[tuple[str, str, object]]:
    """(kind, what was asked, answer) over the book that stands.

    Of so many lots, batches and items one is asked about, always the same by its code.
    """
    desk = Client()
    desk.force_login(make.owner())
    picked = Picked(one_of)
    yield from ask_commands(picked)
    yield from ask_pages(desk, picked)
    yield from ask_plans(desk)


class Picked:
    """Whether a code is among those that are asked about."""

    def __init__(self, one_of: int) -> None:
        self.one_of = one_of

    def __call__(self, code: str) -> bool:
        return crc32(code.encode()) % self.one_of == 0
