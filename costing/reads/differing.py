"""Where what is kept and what the entries say are not the same."""

from collections import defaultdict
from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from typing import Any

from costing.domain.kept import Step, accounts
from costing.domain.rollup import NANO
from costing.models import KeptBatch, KeptFlow, KeptLot, KeptMonth
from costing.reads.book import Book
from costing.reads.from_nothing import Keeps, from_nothing
from costing.reads.keeping import KeepLot, facts_of, flow_facts, steps_differ
from production.models import Batch, Lot, Movement
from production.quantities.domain.numbers import plain


def differing(book: Book | None = None) -> Iterator[str]:
    """Lot by lot, flow by flow and month by month; ``book`` is the whole one, where it
    is at hand. Refused where it does not roll up."""
    keeps = from_nothing(book)
    flows: dict[str, dict[int, list[KeptFlow]]] = {
        "lot": defaultdict(list),
        "batch": defaultdict(list),
    }
    for row in KeptFlow.objects.all():
        key = "lot" if row.lot_id else "batch"
        flows[key][row.lot_id or row.batch_id].append(row)
    yield from _lots(keeps, flows["lot"])
    yield from _batches(keeps, flows["batch"])
    yield from _months(keeps)


def _lots(keeps: Keeps, flows: dict[int, list[KeptFlow]]) -> Iterator[str]:
    kept, lots = KeptLot.objects.in_bulk(), Lot.objects.in_bulk()
    for pk in sorted(kept.keys() | keeps.lots):
        keep, row = keeps.lots.get(pk), kept.get(pk)
        if keep is None or row is None:
            yield f"{lots[pk]}: its value is {_standing(row)}"
            continue
        yield from _facts(str(lots[pk]), row, keep.row)
        yield from _flows(str(lots[pk]), keep, flows[pk])


def _batches(keeps: Keeps, flows: dict[int, list[KeptFlow]]) -> Iterator[str]:
    kept, batches = KeptBatch.objects.in_bulk(), Batch.objects.in_bulk()
    for pk in sorted(kept.keys() | keeps.batches):
        keep, row = keeps.batches.get(pk), kept.get(pk)
        if keep is None or row is None:
            yield f"{batches[pk]}: what it holds is {_standing(row)}"
            continue
        yield from _facts(str(batches[pk]), row, keep.row)
        if steps_differ(flows[pk], keep.steps):
            yield f"{batches[pk]}: what was worked on it is kept otherwise"


def _standing(row: object) -> str:
    return "not kept" if row is None else "kept, and it is gone"


def _facts(name: str, row: Any, now: Any) -> Iterator[str]:
    was, is_now = facts_of(row), facts_of(now)
    fields = [field for field in is_now if was[field] != is_now[field]]
    if fields:
        yield (
            f"{name}: {_listed(fields, was)} kept, its entries come to "
            f"{_listed(fields, is_now)}"
        )


def _listed(fields: list[str], facts: dict[str, Any]) -> str:
    return ", ".join(f"{one.replace('_', ' ')} {_said(facts[one])}" for one in fields)


def _flows(name: str, keep: KeepLot, rows: list[KeptFlow]) -> Iterator[str]:
    kept = {row.movement_id: row for row in rows if row.movement_id}
    for entry in sorted(kept.keys() | keep.flows):
        was, now = kept.get(entry), keep.flows.get(entry)
        if was is None or now is None or flow_facts(was) != flow_facts(now):
            yield (
                f"{name}, {_entry(entry)}: {_worth(was)} kept, it comes to "
                f"{_worth(now)}"
            )
    if steps_differ([row for row in rows if not row.movement_id], keep.steps):
        yield f"{name}: what came into it is kept otherwise"


def _months(keeps: Keeps) -> Iterator[str]:
    steps: dict[date, list[Step]] = defaultdict(list)
    kept: dict[date, dict[str, int]] = defaultdict(dict)
    for row in _all_flows(keeps):
        step = Step(row.on, row.out_of, row.into, row.value)
        steps[row.on.replace(day=1)].append(step)
    for month in KeptMonth.objects.all():
        kept[month.month][month.account] = month.value
    for month in sorted(kept.keys() | steps):
        now = accounts(steps[month])
        for account in sorted(kept[month].keys() | now):
            was, comes_to = kept[month].get(account, 0), now.get(account, 0)
            if was != comes_to:
                yield (
                    f"{account} in {month:%Y-%m}: {_money(was)} kept, its entries "
                    f"come to {_money(comes_to)}"
                )


def _all_flows(keeps: Keeps) -> Iterator[KeptFlow]:
    for lot in keeps.lots.values():
        yield from lot.flows.values()
        yield from lot.steps
    for batch in keeps.batches.values():
        yield from batch.steps


def _entry(pk: int) -> str:
    row = Movement.objects.filter(pk=pk).first()
    return f"{row.kind} on {row.on}, entry {pk}" if row else f"entry {pk}"


def _worth(row: KeptFlow | None) -> str:
    return "nothing" if row is None else f"{_money(row.value)} into {row.into}"


def _money(nano: int) -> str:
    sign, size = "-" if nano < 0 else "", abs(nano)
    return f"{sign}{size // NANO}.{size % NANO:09d}"


def _said(value: object) -> str:
    if isinstance(value, dict):
        return " and ".join(f"{_money(value[name])} {name}" for name in value) or "0"
    if isinstance(value, Decimal):
        return plain(value)
    return "nothing" if value in (None, []) else str(value)
