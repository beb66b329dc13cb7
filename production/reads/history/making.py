"""Formulas and batches, told as events."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from datetime import date
from decimal import Decimal

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
    VersionCheck,
    Work,
)
from production.models.formulas import TERMS
from production.reads.batches import explained, standing_work
from production.reads.history.ledger import KIND, Ledger, place_of
from production.reads.history.told import (
    Facts,
    Spot,
    Told,
    day,
    figure,
    not_before,
    some,
)
from production.reads.restated import as_now

LONGEST = Deed._meta.get_field("reason").max_length

DEFAULTS = {
    "koh_share": Decimal(1),
    "lye_excess": False,
    "band": Decimal("0.005"),
    "release": "hand",
    "rest_days": 0,
    "steps": "",
}


def formula_events() -> Iterator[Told]:
    versions = Version.objects.select_related("deed", "formula__makes")
    versions = versions.prefetch_related("lines__item", "checks").order_by("pk")
    for version in versions:
        formula = version.formula
        facts: Facts = {
            "type": "formula",
            "date": day(version.deed.on),
            "name": formula.name,
            "stage": formula.stage,
            "makes": formula.makes.name,
            "lines": [
                some(
                    {"item": line.item.name},
                    share=figure(line.share),
                    each=figure(line.each),
                    goes_in=line.goes_in,
                )
                for line in version.lines.all()
            ],
        }
        some(
            facts,
            checks=[_check(check) for check in version.checks.all()],
            terms=_terms(version),
            reason=version.deed.reason,
        )
        # Before everything: a recipe is often typed after the batches made by it.
        yield Told(date.min, version.deed_id, 0, facts)


def _check(check: VersionCheck) -> Facts:
    low, high = figure(check.low), figure(check.high)
    return some({"what": check.what}, low=low, high=high, how=check.how)


def _terms(version: Version) -> Facts:
    terms: Facts = {}
    for name in TERMS:
        value = getattr(version, name)
        if value is None or value == DEFAULTS.get(name):
            continue
        terms[name] = value if isinstance(value, int | str) else figure(value)
    return terms


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

    def _head(self, batch: Batch, on: date) -> Facts:
        facts: Facts = {"type": "batch", "date": day(on)}
        return {**facts, "code": batch.code, "stage": batch.stage}

    def _tail(self, batch: Batch, facts: Facts, reason: str) -> Facts:
        version = batch.version
        formula = None
        if version is not None:
            formula = {"name": version.formula.name, "version": version.number}
        return some(facts, formula=formula, trial=batch.trial, reason=reason)

    def _whole(self, batch: Batch) -> Iterator[Told]:
        made = self.made[batch.pk]
        spot = self.begun[batch.pk] = self.book.spot(made)
        uses = self._before(batch, made)
        work = [row for row in self.work[batch.pk] if row.on == made.on]
        losses = [row for row in self.losses[batch.pk] if row.on == made.on]
        facts = self._head(batch, made.on)
        facts["uses"] = [_use(row) for row in uses]
        facts["makes"] = self._output(made)
        facts["expected"] = figure(batch.expected)
        some(facts, follows=batch.follows)
        facts["work"] = [_hours(row) for row in work]
        some(facts, losses=[_loss(row) for row in losses])
        some(facts, override=_expired(batch, uses))
        reason = self._reason_of(batch, [made, *uses])
        yield Told(*spot, 5, self._tail(batch, facts, reason))
        late = [row for row in self.uses[batch.pk] if row not in uses]
        yield from self._use_events(batch, late)
        yield from self._extras(batch, work, losses)

    def _piece_by_piece(self, batch: Batch) -> Iterator[Told]:
        made = self.made.get(batch.pk)
        days = [row.on for row in self.uses[batch.pk]]
        days += [made.on] if made else []
        started = min([batch.started, *days])
        self.begun[batch.pk] = (started, batch.deed_id)
        facts = self._head(batch, started) | {"uses": [], "makes": None}
        facts["expected"] = figure(batch.expected)
        some(facts, follows=batch.follows)
        facts["work"] = []
        tail = self._tail(batch, facts, batch.deed.reason)
        yield Told(started, batch.deed_id, 4, tail)
        yield from self._use_events(batch, self.uses[batch.pk])
        yield from self._extras(batch, [], [])
        if made is not None:
            facts = {"type": "make", "date": day(made.on), "batch": batch.code}
            facts["makes"] = self._output(made)
            some(facts, reason=self._reason_of(batch, [made]))
            # No place of its own: within a deed the next batch may use it already.
            yield Told(*self.book.spot(made), 5, facts)

    def _reason_of(self, batch: Batch, rows: list[Movement]) -> str:
        """Why; a recipe that asks is answered by what was said when it was mended."""
        found = self._reasons(rows)
        if not found and batch.version_id:
            found = self.mended[batch.pk]
        return "; ".join(found)[:LONGEST]

    def _reasons(self, rows: Iterable[Movement]) -> list[str]:
        return list(dict.fromkeys(filter(None, map(self.book.reason, rows))))

    def _output(self, made: Movement) -> Facts:
        lot = made.lot
        facts: Facts = {"lot": lot.code, "item": lot.item.name, "unit": lot.item.unit}
        facts["amount"] = figure(made.amount)
        some(facts, net_mass=figure(lot.net_mass))
        if lot.item.kind != "made":
            facts["kind"] = lot.item.kind
        return some({**facts, **self.book.lot_facts(lot)}, place=place_of(made))

    def _use_events(self, batch: Batch, rows: list[Movement]) -> Iterator[Told]:
        by_deed: dict[Spot, list[Movement]] = defaultdict(list)
        for row in rows:
            by_deed[self.book.spot(row)].append(row)
        for (on, order), uses in by_deed.items():
            facts: Facts = {"type": "use", "date": day(on), "batch": batch.code}
            facts["uses"] = [_use(row) for row in uses]
            reason = "; ".join(self._reasons(uses))[:LONGEST]
            some(facts, override=_expired(batch, uses), reason=reason)
            yield Told(*not_before(on, order, self.begun[batch.pk]), 5, facts)

    def _extras(
        self, batch: Batch, told_work: list[Work], told_losses: list[Loss]
    ) -> Iterator[Told]:
        begun = self.begun[batch.pk]
        for row in self.work[batch.pk]:
            if row not in told_work:
                facts: Facts = {"type": "work", "date": day(row.on)}
                facts |= {"batch": batch.code, "work": [_hours(row)]}
                some(facts, reason=row.deed.reason)
                yield Told(*not_before(row.on, row.deed_id, begun), 5, facts)
        for row in self.losses[batch.pk]:
            if row not in told_losses:
                facts = {"type": "batch_loss", "date": day(row.on)}
                facts |= {"batch": batch.code, "losses": [_loss(row)]}
                some(facts, reason=row.deed.reason)
                yield Told(*not_before(row.on, row.deed_id, begun), 5, facts)

    def _what_went_wrong(self) -> Iterator[Told]:
        """Batches that were lost whole, and losses that were called otherwise."""
        for end in LostBatch.objects.select_related("deed", "batch"):
            batch = end.batch_id
            facts: Facts = {"type": "batch_lost", "date": day(end.on)}
            facts |= {"batch": end.batch.code, "kind": end.kind}
            some(facts, reason=end.deed.reason)
            before = [self.book.spot(row) for row in self.uses[batch]]
            before += [(row.on, row.deed_id) for row in self.losses[batch]]
            yield Told(
                *_after((end.on, end.deed_id), self.begun[batch], before), 8, facts
            )
        called = {row.pk: row for rows in self.losses.values() for row in rows}
        told: dict[int, Spot] = {}
        for row in self.renamed:
            was = called[row.root_id]
            if was.kind == row.kind:
                continue
            facts = {"type": "loss_renamed", "date": day(row.on)}
            facts |= {"batch": row.batch.code, "loss": _loss(was), "kind": row.kind}
            some(facts, reason=row.deed.reason)
            before = [told.get(row.root_id, (was.on, was.deed_id))]
            spot = _after((row.on, row.deed_id), self.begun[row.batch_id], before)
            called[row.root_id], told[row.root_id] = row, spot
            yield Told(*spot, 8, facts)

    def _steps(self) -> Iterator[Told]:
        told = list(self.begun)
        steps = Step.objects.filter(batch__in=told).select_related("deed", "batch")
        for step in steps.order_by("pk"):
            facts: Facts = {"type": "step", "date": day(step.on)}
            facts |= {"batch": step.batch.code, "text": step.text}
            some(facts, look=step.look, reason=step.deed.reason)
            spot = not_before(step.on, step.deed_id, self.begun[step.batch_id])
            yield Told(*spot, 7, facts)
        held = Hold.objects.unanswered().filter(batch__in=told)
        for hold in held.select_related("batch").order_by("pk"):
            facts = {"type": "hold", "date": day(hold.on)}
            facts |= {"batch": hold.batch.code, "reason": hold.cause}
            spot = not_before(hold.on, hold.deed_id, self.begun[hold.batch_id])
            yield Told(*spot, 6, facts)
        accepted = Promotion.objects.filter(batch__in=told)
        for row in accepted.select_related("deed", "batch").order_by("pk"):
            facts = {"type": "promotion", "date": day(row.deed.on)}
            facts |= {"batch": row.batch.code, "reason": row.deed.reason}
            spot = not_before(row.deed.on, row.deed_id, self.begun[row.batch_id])
            yield Told(*spot, 7, facts)


def _after(spot: Spot, begun: Spot, before: Iterable[Spot]) -> Spot:
    """A place in the book after all of these, too."""
    for earlier in (begun, *before):
        spot = not_before(*spot, earlier)
    return spot


def _use(row: Movement) -> Facts:
    facts: Facts = {"lot": row.lot.code, "amount": figure(-row.amount)}
    return some(facts, place=place_of(row))


def _hours(row: Work) -> Facts:
    return {"kind": row.kind, "hours": figure(row.hours), "rate": figure(row.rate)}


def _loss(row: Loss) -> Facts:
    return {"kind": row.kind, "amount": figure(row.amount)}


def _expired(batch: Batch, uses: Iterable[Movement]) -> bool:
    """Whether an owner let an expired lot in, so that the replay lets it in too."""
    return batch.version_id is not None and any(
        row.lot.expires is not None and row.lot.expires < row.on for row in uses
    )
