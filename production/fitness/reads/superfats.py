"""The superfat of a lot, worked back from what was used, as known by a deed."""

from collections import defaultdict
from collections.abc import Iterator
from copy import copy
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from functools import cached_property
from typing import Any

from production.contents.domain.contents import (
    BatchFacts,
    Flow,
    LotFacts,
    Value,
    contents,
)
from production.contents.reads.contents import grams_of, supplied
from production.record.reads.restated import KnownFigures
from production.stock.models.batches import Batch
from production.stock.models.lots import Lot
from production.stock.models.readings import Measurement
from production.workshop.models.items import Item

WHAT = Measurement.What
VALUES = (
    WHAT.PURITY,
    WHAT.CARBONATE,
    WHAT.SAPONIFICATION_VALUE,
    WHAT.ACID_VALUE,
    WHAT.UNSAPONIFIABLE,
)
NOW = 2**62


@dataclass(frozen=True, slots=True)
class Used:
    """One use in a batch: the deed that wrote it, its first one, and the one that took
    it back."""

    lot: int
    batch: int
    amount: Decimal
    on: date
    deed: int
    first: int
    taken: int
    corrected: bool

    def stands(self, known_by: int) -> bool:
        return self.deed <= known_by < self.taken


def stands(row: Any, known_by: int = NOW - 1) -> bool:
    """Whether a row counts after that deed; ``ends`` is the deed that took it back."""
    return bool(row.deed_id <= known_by < row.ends)


@dataclass
class Superfats:
    """What went into what, by whole rows. Deeds are asked by their numbers:
    ``known_by`` is the last one that counts."""

    lots: dict[int, Lot]
    asked: set[int]
    batch: Batch | None = None
    used: dict[int, list[Used]] = field(default_factory=lambda: defaultdict(list))
    made: dict[int, list[Used]] = field(default_factory=lambda: defaultdict(list))
    readings: list[Measurement] = field(default_factory=list)
    said: KnownFigures = field(default_factory=KnownFigures)
    items: dict[int, Item] = field(default_factory=dict)
    _superfats: dict[tuple[str, int], Decimal | None] = field(default_factory=dict)

    @cached_property
    def open_code(self) -> str:
        """What a batch without a lot is called among the codes."""
        return f"batch {self.batch}"

    def superfat(self, code: str, known_by: int = NOW - 1) -> Decimal | None:
        """The central superfat worked back from what was used, as known by a deed."""
        key = code, known_by
        if key not in self._superfats:
            found = contents(self._lot_facts(known_by), self._batch_facts(known_by))
            for at, held in found.items():
                self._superfats[at, known_by] = held.superfat
        return self._superfats.get(key)

    def _lot_facts(self, known_by: int) -> list[LotFacts]:
        flows: dict[int, list[Flow]] = defaultdict(list)
        for rows in self.used.values():
            for row in rows:
                if row.stands(known_by) and row.batch in self._batch_codes:
                    code = self._batch_codes[row.batch]
                    flows[row.lot].append(Flow("used", -row.amount, row.on, code))
        facts = [
            LotFacts(
                code=lot.code,
                started=self._started(lot, flows[lot.pk], known_by),
                flows=tuple(flows[lot.pk]),
                batch=self._batch_codes[lot.batch_id] if lot.batch_id else "",
                supplied=None
                if lot.batch_id
                else supplied(lot, tuple(self._values(lot.pk, known_by))),
            )
            for lot in self._lots_by(known_by)
        ]
        if self.batch is not None:
            code = self._batch_codes[self.batch.pk]
            facts.append(LotFacts(self.open_code, Decimal(1), (), batch=code))
        return facts

    def _lots_by(self, known_by: int) -> Iterator[Lot]:
        """The lots as they were known by a deed: which item, and how heavy a piece."""
        for lot in self.lots.values():
            item = self.said.at(lot, "item", known_by, lot.item_id)
            mass = self.said.at(lot, "net_mass", known_by, lot.net_mass)
            if (item, mass) != (lot.item_id, lot.net_mass):
                lot, now = copy(lot), lot
                lot.item = now.item if item == now.item_id else self.items[item]
                lot.net_mass = mass
            yield lot

    @cached_property
    def _batch_codes(self) -> dict[int, str]:
        found = {
            lot.batch_id: str(lot.batch_id)
            for lot in self.lots.values()
            if lot.batch_id
        }
        if self.batch is not None:
            found[self.batch.pk] = str(self.batch.pk)
        return found

    def _started(self, lot: Lot, flows: list[Flow], known_by: int) -> Decimal:
        if not lot.batch_id:
            return -sum((flow.amount for flow in flows), Decimal(0))
        made = (r.amount for r in self.made[lot.batch_id] if r.stands(known_by))
        return sum(made, Decimal(0))

    def _values(self, pk: int, known_by: int) -> Iterator[Value]:
        # From the moment it was typed, whatever its date: the last one counts.
        for row in sorted(self.readings, key=lambda row: (row.deed_id, row.pk)):
            known = row.lot_id == pk and stands(row, known_by)
            known = known and row.what in VALUES and row.basis in Measurement.VALUES
            if known and row.value is not None:
                value = self.said.at(row, "value", known_by, row.value)
                yield Value(date.min, row.what, value)

    def _batch_facts(self, known_by: int) -> list[BatchFacts]:
        facts = []
        for lot in self._lots_by(known_by):
            if lot.batch_id:
                made = grams_of(lot, self._started(lot, [], known_by)) or None
                code = self._batch_codes[lot.batch_id]
                facts.append(BatchFacts(code, lot.batch.stage, made))
        if self.batch is not None:
            code = self._batch_codes[self.batch.pk]
            facts.append(BatchFacts(code, self.batch.stage, None))
        return facts
