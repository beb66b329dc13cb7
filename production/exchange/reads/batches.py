"""Formulas and batches, told as events."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from datetime import date
from typing import Any

from production.exchange import domain as history
from production.exchange.reads.events import Spot, Told, all_told, not_before, told_of
from production.exchange.reads.ledger import KIND, Ledger
from production.recipes.models.formulas import TERMS, Version
from production.record.models.ink import Deed
from production.record.reads.restated import as_now
from production.stock.models.batches import (
    Batch,
    Loss,
    LostBatch,
    Promotion,
    Step,
    Work,
)
from production.stock.models.holds import Hold
from production.stock.models.lots import Movement
from production.yields.reads import explained, standing_work

LONGEST = Deed._meta.get_field("reason").max_length


def formula_events() -> Iterator[Told]:
    versions = Version.objects.select_related("deed", "formula__makes")
    versions = versions.prefetch_related("lines__item", "checks").order_by("pk")
    for version in versions:
        event = told_of(
            history.Formula,
            version,
            version.formula,
            lines=all_told(history.VersionLine, version.lines.all()),
            checks=all_told(history.NewCheck, version.checks.all()),
            terms=_terms(version),
        )
        # Before everything: a recipe is often typed after the batches made by it.
        yield Told(date.min, version.deed_id, 0, event)


def _terms(version: Version) -> history.Terms:
    """What differs from the terms of a version that says none."""
    blank = Version()
    terms = {name: getattr(version, name) for name in TERMS}
    return history.Terms(
        **{
            name: value
            for name, value in terms.items()
            if value is not None and value != getattr(blank, name)
        }
    )


class BatchEvents:
    """Batches with what hangs on them, and where in the book each one begins."""

    def __init__(self, book: Ledger) -> None:
        self.book = book
        self.uses: dict[int, list[Movement]] = defaultdict(list)
        self.made: dict[int, Movement] = {}
        for row in book.of_kind(KIND.USED, KIND.MADE):
            if row.kind == KIND.USED:
                self.uses[row.batch_id].append(row)
            else:
                self.made[row.batch_id] = row
        self.work: dict[int, list[Work]] = defaultdict(list)
        for row in as_now(standing_work().select_related("deed").order_by("pk")):
            self.work[row.batch_id].append(row)
        self.losses: dict[int, list[Loss]] = defaultdict(list)
        self.renamed: list[Loss] = []
        self._read_losses()
        self.mended = explained()
        self.begun: dict[int, Spot] = {}

    def _read_losses(self) -> None:
        """First names and later ones, but for those that were taken back."""
        taken = Deed.objects.filter(undoes__isnull=False).values("undoes")
        rows = Loss.written.standing().exclude(root__deed__in=taken)
        rows = rows.select_related("deed", "batch", "root").order_by("pk")
        for row in as_now(rows):
            if row.root_id is None:
                self.losses[row.batch_id].append(row)
            else:
                self.renamed.append(row)

    def events(self) -> Iterator[Told]:
        batches = Batch.objects.standing().select_related("deed", "version__formula")
        for batch in batches.order_by("pk"):
            if self._in_one_deed(batch):
                yield from self._whole(batch)
            else:
                yield from self._piece_by_piece(batch)
        yield from self._steps()
        yield from self._what_went_wrong()

    def _in_one_deed(self, batch: Batch) -> bool:
        """Whether it was used and made in one go, so that nothing came between."""
        made = self.made.get(batch.pk)
        if made is None or self.book.order(made) != batch.deed_id:
            return False
        spot = self.book.spot(made)
        before = self._before(batch, made)
        return bool(before) and all(self.book.spot(row) == spot for row in before)

    def _before(self, batch: Batch, made: Movement) -> list[Movement]:
        done = made.rank or made.pk
        return [row for row in self.uses[batch.pk] if (row.rank or row.pk) < done]

    def _told(self, batch: Batch, **facts: Any) -> history.Batch:
        version = batch.version
        formula = None
        if version is not None:
            formula = history.VersionNamed(version.formula.name, version.number)
        return told_of(history.Batch, batch, formula=formula, **facts)

    def _whole(self, batch: Batch) -> Iterator[Told]:
        made = self.made[batch.pk]
        spot = self.begun[batch.pk] = self.book.spot(made)
        uses = self._before(batch, made)
        work = [row for row in self.work[batch.pk] if row.on == made.on]
        losses = [row for row in self.losses[batch.pk] if row.on == made.on]
        event = self._told(
            batch,
            on=made.on,
            uses=_uses(uses),
            makes=self._output(made),
            work=all_told(history.NewWork, work),
            losses=all_told(history.NewLoss, losses),
            override=_expired(batch, uses),
            reason=self._reason_of(batch, [made, *uses]),
        )
        yield Told(*spot, 5, event)
        late = [row for row in self.uses[batch.pk] if row not in uses]
        yield from self._use_events(batch, late)
        yield from self._extras(batch, work, losses)

    def _piece_by_piece(self, batch: Batch) -> Iterator[Told]:
        made = self.made.get(batch.pk)
        days = [row.on for row in self.uses[batch.pk]]
        days += [made.on] if made else []
        started = min([batch.started, *days])
        self.begun[batch.pk] = (started, batch.deed_id)
        nothing: dict[str, Any] = dict.fromkeys(("uses", "work", "losses"), ())
        nothing |= {"makes": None, "override": False}
        event = self._told(batch, on=started, **nothing)
        yield Told(started, batch.deed_id, 4, event)
        yield from self._use_events(batch, self.uses[batch.pk])
        yield from self._extras(batch, [], [])
        if made is not None:
            make = history.Make(
                on=made.on,
                batch=batch.code,
                makes=self._output(made),
                reason=self._reason_of(batch, [made]),
            )
            # No place of its own: within a deed the next batch may use it already.
            yield Told(*self.book.spot(made), 5, make)

    def _reason_of(self, batch: Batch, rows: list[Movement]) -> str:
        """Why; a recipe that asks is answered by what was said when it was mended."""
        found = self._reasons(rows)
        if not found and batch.version_id:
            found = self.mended[batch.pk]
        return "; ".join(found)[:LONGEST]

    def _reasons(self, rows: Iterable[Movement]) -> list[str]:
        return list(dict.fromkeys(filter(None, map(self.book.reason, rows))))

    def _output(self, made: Movement) -> history.Output:
        lot, item = made.lot, made.lot.item
        own = {"kind": item.kind, "category": "", "status": self.book.first_word(lot)}
        return told_of(history.Output, made, lot, item, **own)

    def _use_events(self, batch: Batch, rows: list[Movement]) -> Iterator[Told]:
        by_deed: dict[Spot, list[Movement]] = defaultdict(list)
        for row in rows:
            by_deed[self.book.spot(row)].append(row)
        for (on, order), uses in by_deed.items():
            event = history.BatchUse(
                on=on,
                batch=batch.code,
                uses=_uses(uses),
                override=_expired(batch, uses),
                reason="; ".join(self._reasons(uses))[:LONGEST],
            )
            yield Told(*not_before(on, order, self.begun[batch.pk]), 5, event)

    def _extras(
        self, batch: Batch, told_work: list[Work], told_losses: list[Loss]
    ) -> Iterator[Told]:
        for row in self.work[batch.pk]:
            if row not in told_work:
                hours = all_told(history.NewWork, [row])
                yield self._note(history.BatchWork, 5, row, work=hours)
        for loss in self.losses[batch.pk]:
            if loss not in told_losses:
                losses = all_told(history.NewLoss, [loss])
                yield self._note(history.BatchLoss, 5, loss, losses=losses)

    def _what_went_wrong(self) -> Iterator[Told]:
        """Batches that were lost whole, and losses that were called otherwise."""
        for end in LostBatch.objects.select_related("deed", "batch"):
            batch = end.batch_id
            lost = told_of(history.BatchLost, end)
            before = [self.book.spot(row) for row in self.uses[batch]]
            before += [(row.on, row.deed_id) for row in self.losses[batch]]
            spot = not_before(end.on, end.deed_id, self.begun[batch], *before)
            yield Told(*spot, 8, lost)
        called = {row.pk: row for rows in self.losses.values() for row in rows}
        told: dict[int, Spot] = {}
        for row in self.renamed:
            was = called[row.root_id]
            # A batch that was taken back is not told, nor what its losses were called.
            if was.kind == row.kind or row.batch_id not in self.begun:
                continue
            event = told_of(
                history.LossRenamed, row, loss=told_of(history.NewLoss, was)
            )
            earlier = told.get(row.root_id, (was.on, was.deed_id))
            begun = self.begun[row.batch_id]
            spot = not_before(row.on, row.deed_id, begun, earlier)
            called[row.root_id], told[row.root_id] = row, spot
            yield Told(*spot, 8, event)

    def _steps(self) -> Iterator[Told]:
        told = list(self.begun)
        steps = Step.objects.filter(batch__in=told).select_related("deed", "batch")
        for step in steps.order_by("pk"):
            yield self._note(history.Step, 7, step)
        held = Hold.objects.unanswered().filter(batch__in=told)
        for hold in held.select_related("batch").order_by("pk"):
            yield self._note(history.Hold, 6, hold, reason=hold.cause)
        accepted = Promotion.objects.filter(batch__in=told)
        for row in accepted.select_related("deed", "batch").order_by("pk"):
            yield self._note(history.Promotion, 7, row)

    def _note(
        self, kind: type[history.OfBatch], place: int, row: Any, /, **facts: Any
    ) -> Told:
        """Something of a batch, which is told after it began."""
        event = told_of(kind, row, **facts)
        spot = not_before(event.on, row.deed_id, self.begun[row.batch_id])
        return Told(*spot, place, event)


def _uses(rows: Iterable[Movement]) -> tuple[history.Use, ...]:
    return tuple(told_of(history.Use, row, amount=-row.amount) for row in rows)


def _expired(batch: Batch, uses: Iterable[Movement]) -> bool:
    """Whether an owner let an expired lot in, so that the replay lets it in too."""
    return batch.version_id is not None and any(
        row.lot.expires is not None and row.lot.expires < row.on for row in uses
    )
