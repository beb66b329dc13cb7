"""Readings of lots and batches, and the checks among them that were taken back."""

from collections import defaultdict
from collections.abc import Iterator

from production.contents.reads.reweighing import REWEIGHING
from production.exchange import domain as history
from production.exchange.reads.events import Spot, Told, not_before, told_of
from production.exchange.reads.ledger import Ledger
from production.record.reads.restated import as_now
from production.stock.models.readings import CheckTakenBack, Measurement


class Readings:
    """All readings that the file tells, and where each stands in it."""

    def __init__(self, book: Ledger, batches: dict[int, Spot]) -> None:
        self.book, self.batches = book, batches
        self.spots: dict[int, Spot] = {}
        self.rows: list[Measurement] = []
        rows = Measurement.objects.select_related("deed", "lot", "batch")
        for row in as_now(rows.order_by("pk")):
            # The replay works those of a weighing out again from the two weights.
            if row.deed.verb != REWEIGHING and self._told(row):
                self.rows.append(row)

    def _told(self, row: Measurement) -> bool:
        """Whether its lot stands, and its spot: never before what it is of."""
        spot = (row.on, row.deed_id)
        if row.lot_id:
            start = self.book.starts.get(row.lot_id)
            if start is None or row.deed_id < self.book.order(start):
                return False
            spot = not_before(*spot, self.book.spot(start))
        if row.batch_id:
            if row.batch_id not in self.batches:
                return False
            spot = not_before(*spot, self.batches[row.batch_id])
        self.spots[row.pk] = spot
        return True

    def events(self) -> Iterator[Told]:
        for row in self.rows:
            yield Told(*self.spots[row.pk], 7, told_of(history.Measurement, row))

    def taken_back(self) -> Iterator[Told]:
        """Each names its check by what it says, and by its turn among equal ones."""
        turns = self._turns()
        rows = CheckTakenBack.objects.select_related(
            "deed", "belongs_to", "measurement__lot", "measurement__batch"
        )
        for row in rows.order_by("pk"):
            check = row.measurement
            if check.pk not in self.spots:
                continue
            event = told_of(
                history.CheckTakenBack,
                check,
                on=row.deed.on,
                reason=row.deed.reason,
                checked=check.on,
                nth=turns[check.pk],
                belongs_to=row.belongs_to.code if row.belongs_to else None,
            )
            spot = not_before(row.deed.on, row.deed_id, self.spots[check.pk])
            yield Told(*spot, 8, event)

    def _turns(self) -> dict[int, int]:
        """Which of the readings that say the same each one is, in the file's order."""
        seen: dict[tuple[object, ...], int] = defaultdict(int)
        turns = {}
        for row in sorted(self.rows, key=lambda row: (self.spots[row.pk], row.pk)):
            same = (row.lot_id, row.batch_id, row.what, row.on, row.value, row.passed)
            seen[same] += 1
            turns[row.pk] = seen[same]
        return turns
