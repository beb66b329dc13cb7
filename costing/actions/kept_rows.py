"""The one hand that writes what is kept: rows, and the months that they add up to."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from django.db.models import Model

from costing.models import KeptBatch, KeptFlow, KeptLot, KeptMonth
from costing.models.kept import apart
from costing.reads.from_nothing import Keeps
from costing.reads.keeping import (
    KeepBatch,
    KeepLot,
    flow_facts,
    steps_differ,
)

MANY = 500


class KeptRows:
    """Rows written as they differ from what stands; ``close`` writes the months."""

    def __init__(self) -> None:
        self.months: Counter[tuple[date, str]] = Counter()

    def lots(
        self, keeps: Iterable[KeepLot], stand: Mapping[int, list[KeptFlow]]
    ) -> dict[int, set[int]]:
        """Write lots and their flows over those that ``stand``.

        Gives of each lot the batches in which something of it is another by now.
        """
        changed: dict[int, set[int]] = {}
        new: list[KeptFlow] = []
        for keep in keeps:
            pk = keep.row.lot_id
            before = {row.movement_id: row for row in stand[pk] if row.movement_id}
            differ = [
                (before.get(entry), keep.flows.get(entry))
                for entry in {**before, **keep.flows}
            ]
            differ = [
                (was, now)
                for was, now in differ
                if was is None or now is None or flow_facts(was) != flow_facts(now)
            ]
            self._drop([was for was, _ in differ if was is not None])
            new += [now for _, now in differ if now is not None]
            changed[pk] = {
                row.batch_id for both in differ for row in both if row and row.batch_id
            }
            new += self._steps(
                [row for row in stand[pk] if not row.movement_id], keep.steps
            )
        self._add(new)
        _write(KeptLot, [keep.row for keep in keeps])
        return changed

    def went(self, rows: Sequence[KeptLot], flows: Sequence[KeptFlow]) -> None:
        """Entries that came after all others of their lots."""
        self._add(flows)
        _write(KeptLot, rows)

    def batches(
        self, keeps: Iterable[KeepBatch], stand: Mapping[int, list[KeptFlow]]
    ) -> None:
        """Write batches, and what was worked on them over what ``stands``."""
        new = [
            row
            for keep in keeps
            for row in self._steps(stand[keep.row.batch_id], keep.steps)
        ]
        self._add(new)
        _write(KeptBatch, [keep.row for keep in keeps])

    def anew(self, keeps: Keeps) -> None:
        """Write all of it where nothing is kept."""
        lots, batches = keeps.lots.values(), keeps.batches.values()
        self._add([row for keep in lots for row in (*keep.flows.values(), *keep.steps)])
        self._add([row for keep in batches for row in keep.steps])
        KeptLot.objects.bulk_create([keep.row for keep in lots], batch_size=MANY)
        KeptBatch.objects.bulk_create([keep.row for keep in batches], batch_size=MANY)

    def close(self) -> None:
        """Add what has changed to the months; three statements."""
        moved = {at: nano for at, nano in self.months.items() if nano}
        self.months.clear()
        if not moved:
            return
        months = {month for month, _ in moved}
        stood = {
            (row.month, row.account): row.value
            for row in KeptMonth.objects.filter(month__in=months)
        }
        rows = [
            KeptMonth(
                month=month,
                account=account,
                **apart(stood.get((month, account), 0) + nano),
            )
            for (month, account), nano in sorted(moved.items())
        ]
        KeptMonth.objects.bulk_create(
            rows,
            update_conflicts=True,
            unique_fields=["month", "account"],
            update_fields=["money", "nano"],
        )

    def _steps(
        self, before: Sequence[KeptFlow], now: Sequence[KeptFlow]
    ) -> Sequence[KeptFlow]:
        if not steps_differ(before, now):
            return []
        self._drop(before)
        return now

    def _add(self, rows: Sequence[KeptFlow]) -> None:
        for row in rows:
            self._count(row, 1)
        KeptFlow.objects.bulk_create(rows, batch_size=MANY)

    def _drop(self, rows: Sequence[KeptFlow]) -> None:
        for row in rows:
            self._count(row, -1)
        if rows:
            KeptFlow.objects.filter(pk__in=[row.pk for row in rows]).delete()

    def _count(self, row: KeptFlow, sign: int) -> None:
        month = row.on.replace(day=1)
        self.months[month, row.out_of] -= sign * row.value
        self.months[month, row.into] += sign * row.value


def _write(model: type[Model], rows: Sequence[Model]) -> None:
    names = [column.name for column in model._meta.concrete_fields]
    key = model._meta.pk.name if model._meta.pk else "pk"
    model._default_manager.bulk_create(
        rows,
        batch_size=MANY,
        update_conflicts=True,
        unique_fields=[key],
        update_fields=[name for name in names if name != key],
    )
