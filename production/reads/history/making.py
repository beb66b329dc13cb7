"""Formulas and batches, told as events."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from decimal import Decimal

from production.models import Batch, Loss, Movement, Promotion, Step, Version, Work
from production.reads.history.ledger import KIND, Ledger, place_of
from production.reads.history.told import Facts, Told, day, figure, some

TERMS = (
    "superfat",
    "koh_share",
    "water_per_alkali",
    "target_soap",
    "loss",
    "band",
    "release",
    "rest_days",
    "shelf_days",
    "steps",
)
DEFAULTS = {
    "koh_share": Decimal(1),
    "band": Decimal("0.005"),
    "release": "hand",
    "rest_days": 0,
    "steps": "",
}


def formula_events() -> Iterator[Told]:
    versions = Version.objects.select_related("deed", "formula__makes")
    for version in versions.prefetch_related("lines__item").order_by("pk"):
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
                )
                for line in version.lines.all()
            ],
        }
        some(facts, terms=_terms(version), reason=version.deed.reason)
        yield Told(version.deed.on, version.deed_id, 0, facts)


def _terms(version: Version) -> Facts:
    terms: Facts = {}
    for name in TERMS:
        value = getattr(version, name)
        if value is None or value == DEFAULTS.get(name):
            continue
        terms[name] = value if isinstance(value, int | str) else figure(value)
    return terms


class Making:
    """Batches with what hangs on them, and after which deed each one exists."""

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
        standing = Work.objects.filter(reverses__isnull=True, reversed_by__isnull=True)
        for row in standing.select_related("deed").order_by("pk"):
            self.work[row.batch_id].append(row)
        self.losses: dict[int, list[Loss]] = defaultdict(list)
        for row in Loss.objects.select_related("deed").order_by("pk"):
            self.losses[row.batch_id].append(row)
        self.exists_after: dict[int, int] = {}

    def events(self) -> Iterator[Told]:
        batches = Batch.objects.select_related("deed", "version__formula")
        for batch in batches.order_by("pk"):
            if self._in_one_day(batch):
                yield from self._whole(batch)
            else:
                yield from self._piece_by_piece(batch)
        yield from self._steps()

    def _in_one_day(self, batch: Batch) -> bool:
        made = self.made.get(batch.pk)
        if made is None or batch.started != made.on:
            return False
        return all(row.on == made.on for row in self._before(batch, made))

    def _before(self, batch: Batch, made: Movement) -> list[Movement]:
        done = self.book.order(made)
        return [row for row in self.uses[batch.pk] if self.book.order(row) <= done]

    def _head(self, batch: Batch) -> Facts:
        facts: Facts = {"type": "batch", "date": day(batch.started)}
        return {**facts, "code": batch.code, "stage": batch.stage}

    def _tail(self, batch: Batch, facts: Facts, reason: str) -> Facts:
        version = batch.version
        formula = None
        if version is not None:
            formula = {"name": version.formula.name, "version": version.number}
        return some(facts, formula=formula, trial=batch.trial, reason=reason)

    def _whole(self, batch: Batch) -> Iterator[Told]:
        made = self.made[batch.pk]
        order = self.book.order(made)
        self.exists_after[batch.pk] = order
        uses = self._before(batch, made)
        work = [row for row in self.work[batch.pk] if row.on == made.on]
        losses = [row for row in self.losses[batch.pk] if row.on == made.on]
        facts = self._head(batch)
        facts["uses"] = [_use(row) for row in uses]
        facts["makes"] = self._output(made)
        facts["expected"] = figure(batch.expected)
        facts["work"] = [_hours(row) for row in work]
        some(facts, losses=[_loss(row) for row in losses])
        some(facts, override=_expired(batch, uses))
        reason = _reasons([made, *uses])
        yield Told(made.on, order, 5, self._tail(batch, facts, reason))
        late = [row for row in self.uses[batch.pk] if row not in uses]
        yield from self._use_events(batch, late)
        yield from self._extras(batch, work, losses)

    def _piece_by_piece(self, batch: Batch) -> Iterator[Told]:
        self.exists_after[batch.pk] = batch.deed_id
        facts = self._head(batch) | {"uses": [], "makes": None}
        facts |= {"expected": figure(batch.expected), "work": []}
        tail = self._tail(batch, facts, batch.deed.reason)
        yield Told(batch.started, batch.deed_id, 4, tail)
        yield from self._use_events(batch, self.uses[batch.pk])
        yield from self._extras(batch, [], [])
        made = self.made.get(batch.pk)
        if made is not None:
            facts = {"type": "make", "date": day(made.on), "batch": batch.code}
            facts["makes"] = self._output(made)
            some(facts, reason=made.deed.reason)
            yield Told(made.on, self.book.order(made), 6, facts)

    def _output(self, made: Movement) -> Facts:
        lot = made.lot
        facts: Facts = {"lot": lot.code, "item": lot.item.name, "unit": lot.item.unit}
        facts["amount"] = figure(made.amount)
        some(facts, net_mass=figure(lot.net_mass))
        if lot.item.kind != "made":
            facts["kind"] = lot.item.kind
        return some({**facts, **self.book.lot_facts(lot)}, place=place_of(made))

    def _use_events(self, batch: Batch, rows: list[Movement]) -> Iterator[Told]:
        by_deed: dict[tuple, list[Movement]] = defaultdict(list)
        for row in rows:
            by_deed[row.on, self.book.order(row)].append(row)
        for (on, order), uses in by_deed.items():
            facts: Facts = {"type": "use", "date": day(on), "batch": batch.code}
            facts["uses"] = [_use(row) for row in uses]
            some(facts, override=_expired(batch, uses), reason=_reasons(uses))
            yield Told(on, order, 5, facts)

    def _extras(
        self, batch: Batch, told_work: list[Work], told_losses: list[Loss]
    ) -> Iterator[Told]:
        after = self.exists_after[batch.pk]
        for row in self.work[batch.pk]:
            if row not in told_work:
                facts: Facts = {"type": "work", "date": day(row.on)}
                facts |= {"batch": batch.code, "work": [_hours(row)]}
                yield Told(row.on, max(after, row.deed_id), 5, facts)
        for row in self.losses[batch.pk]:
            if row not in told_losses:
                facts = {"type": "batch_loss", "date": day(row.on)}
                facts |= {"batch": batch.code, "losses": [_loss(row)]}
                yield Told(row.on, max(after, row.deed_id), 5, facts)

    def _steps(self) -> Iterator[Told]:
        for step in Step.objects.select_related("deed", "batch").order_by("pk"):
            facts: Facts = {"type": "step", "date": day(step.on)}
            facts |= {"batch": step.batch.code, "text": step.text}
            after = max(step.deed_id, self.exists_after[step.batch_id])
            yield Told(step.on, after, 7, facts)
        for row in Promotion.objects.select_related("deed", "batch").order_by("pk"):
            facts = {"type": "promotion", "date": day(row.deed.on)}
            facts |= {"batch": row.batch.code, "reason": row.deed.reason}
            yield Told(row.deed.on, row.deed_id, 7, facts)


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


def _reasons(rows: Iterable[Movement]) -> str:
    """The reasons of the deeds, each once; a correction's own reason stays behind."""
    found = [row.deed.reason for row in rows if row.deed.reason and row.rank is None]
    return "; ".join(dict.fromkeys(found))
