"""What is measured, and against what."""

from collections import defaultdict
from dataclasses import dataclass

from django.db import connection

from costing.domain.rollup import roll_up
from costing.reads import book_behind, whole_book
from production.contents.reads.closure import forward_closure
from production.contents.reads.contents import contents_of
from production.models import Lot
from production.tracing.reads.trace import trace
from tests.benchmarks.ledger import fill
from tests.benchmarks.plans import faults, queries_of
from tests.benchmarks.timing import seconds


@dataclass(frozen=True)
class Row:
    """Seconds of ours and of the baseline; ``bar`` is the ratio not to pass."""

    what: str
    ours: float
    against: str
    bare: float
    bar: float

    @property
    def ratio(self):
        return self.ours / self.bare


def measure(families, times, bar):
    """The same family in a small ledger and in one that is ``times`` as long."""
    oil = Lot.objects.get(code=fill(families)[0])
    bottle = Lot.objects.get(pk=max(forward_closure(oil.pk)))
    questions = {
        "trace of a lot of oil": lambda: trace(oil),
        "trace of a bottle": lambda: trace(bottle),
        "contents of a bottle": lambda: contents_of(bottle),
    }
    small = {what: seconds(ask, 25) for what, ask in questions.items()}
    few = Lot.objects.count()
    fill(families * (times - 1))
    many = Lot.objects.count()
    rows = [
        Row(
            f"{what}, {many:,} lots",
            seconds(ask, 25),
            f"the same, {few:,} lots",
            small[what],
            bar,
        )
        for what, ask in questions.items()
    ]
    for what, ask in questions.items():
        whole = [step for query in queries_of(ask) for step in faults(query)]
        if whole:
            raise SystemExit(f"{what} reads the ledger whole: {'; '.join(whole)}")
    return [*rows, *_roll_ups(bottle)]


def _roll_ups(bottle):
    book = whole_book()
    lots = f"{len(book.lots):,} lots"
    bare = seconds(_bare_roll_up, 3)
    return [
        Row(
            f"roll-up of {lots}, rows read",
            seconds(lambda: roll_up(book.lots, book.batches), 3),
            "rows read and added up in floats",
            bare,
            20,
        ),
        Row(
            f"roll-up of {lots} from the database",
            seconds(whole_book, 3),
            "rows read and added up in floats",
            bare,
            60,
        ),
        Row(
            f"cost of a bottle among {lots}",
            seconds(lambda: book_behind(bottle), 5),
            "the roll-up of all of them",
            seconds(whole_book, 3),
            0.2,
        ),
    ]


def _bare_roll_up():
    """The least that could be done: one query, floats, in the order of the lots."""
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT lot_id, kind, amount, batch_id FROM production_movement ORDER BY id"
        )
        rows = cursor.fetchall()
    started, uses, value = {}, defaultdict(list), defaultdict(float)
    for lot, kind, amount, batch in rows:
        if kind in {"received", "made"}:
            started[lot] = amount
            value[lot] = sum(value[one] * part for one, part in uses[batch]) or 21.5
        elif kind == "used":
            uses[batch].append((lot, -amount / started[lot]))
    return value


def table(rows):
    """Ours, the bare way, their ratio and the bar, one line a measure."""
    lines = [f"{'ours':<46}{'ms':>9}  {'against':<34}{'ms':>9}{'ratio':>8}{'bar':>6}"]
    lines += [
        f"{row.what:<46}{row.ours * 1000:>9.2f}  {row.against:<34}"
        f"{row.bare * 1000:>9.2f}{row.ratio:>8.2f}{row.bar:>6g}"
        for row in rows
    ]
    return "\n".join(lines) + "\n"
