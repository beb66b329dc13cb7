"""What is to be kept of lots and batches, from what the roll-up says of them.

Rows that are not saved: the deed that re-works them, the command that makes them anew
and the audit that compares build them here and nowhere else.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from costing.domain.kept import Step, Trial, Valued, born, left, worked
from costing.domain.rollup import BatchNode, LotNode, LotValue, follow
from costing.models import KeptBatch, KeptFlow, KeptLot
from costing.models.kept import apart
from production.quantities.domain.refusal import Refused

# Currency units: what is more was not meant, and many of them still add up in SQL.
LARGEST = 10**12
# What says that two rows of a flow are the same.
FLOW = ("on", "out_of", "into", "money", "nano", "parts", "batch_id")
# Only a hint on the order of re-working.
HINTS = {"level"}


@dataclass(frozen=True, slots=True)
class KeepLot:
    """One lot as it is to be kept; ``flows`` by the key of their entry."""

    row: KeptLot
    flows: dict[int, KeptFlow]
    steps: list[KeptFlow]


@dataclass(frozen=True, slots=True)
class KeepBatch:
    """One batch as it is to be kept."""

    row: KeptBatch
    steps: list[KeptFlow]


@dataclass(slots=True)
class Inside:
    """What went into one batch from lots; ``level`` is above all of theirs."""

    went_in: list[tuple[date, Mapping[str, int]]] = field(default_factory=list)
    missing: set[int] = field(default_factory=set)
    level: int = 1

    def take(self, on: date, parts: Mapping[str, int], of: KeptLot) -> None:
        self.went_in.append((on, parts))
        self.missing |= set(of.missing)
        self.level = max(self.level, of.level + 1)


def keep_lot(
    pk: int,
    node: LotNode,
    value: LotValue,
    batch: KeptBatch | None,
    batches: Mapping[str, int],
) -> KeepLot:
    """``batch`` is what is kept of the one that made it, ``batches`` keys by marks."""
    trial = Trial(batch.tried, batch.accepted) if batch else Trial()
    made = batch is not None and node.began is not None
    own = not node.known or value.course.unpriced
    valued = [flow for flow in node.flows if flow.kind != "moved"]
    last = valued[-1].on if valued else node.whole
    missing = {pk} if own else set[int]()
    if made and batch is not None:
        missing |= set(batch.missing)
    settled = [node.whole, batch.last if made and batch else None]
    if value.course.unpriced:
        settled.append(last)
    course = value.course
    row = KeptLot(
        lot_id=pk,
        level=batch.level + 1 if batch else 0,
        began=node.began,
        settled=max((day for day in settled if day), default=None),
        last=last,
        ended=last if valued and not course.amount else None,
        unknown=None if not own else node.began if not node.known else last,
        tried=trial.tried,
        accepted=trial.accepted,
        started=node.started,
        total=dict(value.total),
        start=dict(value.start),
        abnormal=dict(value.abnormal),
        left=dict(value.left),
        amount_left=value.amount_left,
        rate=dict(value.rate_parts),
        rate_amount=value.rate_amount,
        last_parts=dict(course.last),
        last_amount=course.last_amount,
        reweighed=course.reweighed,
        missing=sorted(missing),
    )
    flows = {
        one.entry: keep_flow(pk, one, batches[one.batch] if one.batch else None)
        for one in left(node, value, trial)
    }
    steps = [kept_flow(step, lot_id=pk) for step in born(node, value, trial)]
    return KeepLot(row, flows, steps)


def work_out(
    pk: int, node: LotNode, batch: KeptBatch | None, batches: Mapping[str, int]
) -> KeepLot:
    """A lot walked from its start, with all that its batch holds."""
    made = batch if batch is not None and node.started else None
    total = {**node.bought, **(made.inside if made else {})}
    trial = batch is not None and batch.trial
    value = follow(node, total, frozenset(), trial)
    return keep_lot(pk, node, value, batch, batches)


def keep_flow(lot: int, one: Valued, batch: int | None) -> KeptFlow:
    """One entry; ``batch`` is the key of the one that it went into."""
    of = {"lot_id": lot, "movement_id": one.entry, "batch_id": batch}
    return kept_flow(one.step, parts=dict(one.parts), **of)


def keep_batch(
    pk: int, node: BatchNode, inside: Inside, ended: date | None
) -> KeepBatch:
    """``ended`` is the day on which it made its lot."""
    parts: dict[str, int] = {}
    went_in = [*inside.went_in, *node.worked]
    for _, more in went_in:
        for name, nano in more.items():
            parts[name] = parts.get(name, 0) + nano
    days = [on for on, _ in went_in]
    row = KeptBatch(
        batch_id=pk,
        level=inside.level,
        first=min(days, default=None),
        last=max(days, default=None),
        ended=ended,
        lost=node.lost_on,
        tried=node.tried,
        accepted=node.accepted,
        inside={name: nano for name, nano in parts.items() if nano},
        missing=sorted(inside.missing),
    )
    uses = [(on, sum(more.values())) for on, more in inside.went_in]
    steps = [kept_flow(step, batch_id=pk) for step in worked(node, uses, ended)]
    return KeepBatch(row, steps)


def kept_flow(step: Step, **of: Any) -> KeptFlow:
    """Refused beyond what the columns add up."""
    columns = apart(step.nano)
    if abs(columns["money"]) > LARGEST:
        raise Refused(
            "That comes to more money than this book can hold. Look at the amounts, "
            "the price and the rate: one of them has too many figures."
        )
    return KeptFlow(on=step.on, out_of=step.out_of, into=step.into, **columns, **of)


def facts_of(row: KeptLot | KeptBatch) -> dict[str, Any]:
    """What is compared of two rows: all but what is only a hint."""
    return {
        column.attname: getattr(row, column.attname)
        for column in row._meta.concrete_fields
        if column.attname not in HINTS
    }


def flow_facts(row: KeptFlow) -> tuple[Any, ...]:
    """The same of a flow."""
    return tuple(getattr(row, name) for name in FLOW)


def steps_differ(one: Iterable[KeptFlow], other: Iterable[KeptFlow]) -> bool:
    """Whether what came in or was worked is not the same."""
    first, second = ([flow_facts(row)[:5] for row in rows] for rows in (one, other))
    return sorted(first) != sorted(second)
