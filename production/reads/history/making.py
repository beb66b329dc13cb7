"""Formulas and batches, told as events."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from datetime import date
from typing import Any

from production.domain import history
from production.domain.history import Event
from production.models import (
    Batch,
    Deed,
    Hold,
    Loss,
    LostBatch,
    Movement,
    Promotion,
    Step,
    Version,
    Work,
)
from production.models.formulas import TERMS
from production.reads.batches import explained, standing_work
from production.reads.history.ledger import KIND, Ledger, place_of
from production.reads.history.told import Spot, Told, not_before
from production.reads.restated import as_now

LONGEST = Deed._meta.get_field("reason").max_length


def formula_events() -> Iterator[Told]:
    versions = Version.objects.select_related("deed", "formula__makes")
    versions = versions.prefetch_related("lines__item", "checks").order_by("pk")
    for version in versions:
        event = history.Formula(
            on=version.deed.on,
            name=version.formula.name,
            stage=version.formula.stage,
            makes=version.formula.makes.name,
            lines=tuple(
                history.VersionLine(line.item.name, line.share, line.each, line.goes_in)
                for line in version.lines.all()
            ),
            checks=tuple(
                history.NewCheck(check.what, check.low, check.high, check.how)
                for check in version.checks.all()
            ),
            terms=_terms(version),
            reason=version.deed.reason,
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


class Making:
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
        return history.Batch(
            code=batch.code,
            stage=batch.stage,
            expected=batch.expected,
            follows=batch.follows,
            formula=formula,
            trial=batch.trial,
            **facts,
        )

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
            work=_hours(work),
            losses=_losses(losses),
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
        event = self._told(batch, on=started, reason=batch.deed.reason)
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
        lot = made.lot
        return history.Output(
            lot=lot.code,
            item=lot.item.name,
            unit=lot.item.unit,
            amount=made.amount,
            net_mass=lot.net_mass,
            kind=lot.item.kind,
            status=self.book.first_word(lot),
            expires=lot.expires,
            labelled=lot.labelled,
            place=place_of(made),
        )

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
                work = history.BatchWork(**_noted(row), work=_hours([row]))
                yield self._note(row, row.on, 5, work)
        for row in self.losses[batch.pk]:
            if row not in told_losses:
                loss = history.BatchLoss(**_noted(row), losses=_losses([row]))
                yield self._note(row, row.on, 5, loss)

    def _what_went_wrong(self) -> Iterator[Told]:
        """Batches that were lost whole, and losses that were called otherwise."""
        for end in LostBatch.objects.select_related("deed", "batch"):
            batch = end.batch_id
            lost = history.BatchLost(**_noted(end), kind=end.kind)
            before = [self.book.spot(row) for row in self.uses[batch]]
            before += [(row.on, row.deed_id) for row in self.losses[batch]]
            spot = not_before(end.on, end.deed_id, self.begun[batch], *before)
            yield Told(*spot, 8, lost)
        called = {row.pk: row for rows in self.losses.values() for row in rows}
        told: dict[int, Spot] = {}
        for row in self.renamed:
            was = called[row.root_id]
            if was.kind == row.kind:
                continue
            [loss] = _losses([was])
            event = history.LossRenamed(**_noted(row), loss=loss, kind=row.kind)
            earlier = told.get(row.root_id, (was.on, was.deed_id))
            begun = self.begun[row.batch_id]
            spot = not_before(row.on, row.deed_id, begun, earlier)
            called[row.root_id], told[row.root_id] = row, spot
            yield Told(*spot, 8, event)

    def _steps(self) -> Iterator[Told]:
        told = list(self.begun)
        steps = Step.objects.filter(batch__in=told).select_related("deed", "batch")
        for step in steps.order_by("pk"):
            event: Event = history.Step(**_noted(step), text=step.text, look=step.look)
            yield self._note(step, step.on, 7, event)
        held = Hold.objects.unanswered().filter(batch__in=told)
        for hold in held.select_related("batch").order_by("pk"):
            event = history.Hold(on=hold.on, batch=hold.batch.code, reason=hold.cause)
            yield self._note(hold, hold.on, 6, event)
        accepted = Promotion.objects.filter(batch__in=told)
        for row in accepted.select_related("deed", "batch").order_by("pk"):
            on, why = row.deed.on, row.deed.reason
            event = history.Promotion(on=on, batch=row.batch.code, reason=why)
            yield self._note(row, on, 7, event)

    def _note(self, row: Any, on: date, place: int, event: Event) -> Told:
        """Something of a batch, which is told after it began."""
        begun = self.begun[row.batch_id]
        return Told(*not_before(on, row.deed_id, begun), place, event)


def _noted(row: Work | Loss | LostBatch | Step) -> dict[str, Any]:
    return {"on": row.on, "batch": row.batch.code, "reason": row.deed.reason}


def _uses(rows: Iterable[Movement]) -> tuple[history.Use, ...]:
    return tuple(
        history.Use(lot=row.lot.code, amount=-row.amount, place=place_of(row))
        for row in rows
    )


def _hours(rows: Iterable[Work]) -> tuple[history.NewWork, ...]:
    return tuple(history.NewWork(row.kind, row.hours, row.rate) for row in rows)


def _losses(rows: Iterable[Loss]) -> tuple[history.NewLoss, ...]:
    return tuple(history.NewLoss(row.kind, row.amount) for row in rows)


def _expired(batch: Batch, uses: Iterable[Movement]) -> bool:
    """Whether an owner let an expired lot in, so that the replay lets it in too."""
    return batch.version_id is not None and any(
        row.lot.expires is not None and row.lot.expires < row.on for row in uses
    )
