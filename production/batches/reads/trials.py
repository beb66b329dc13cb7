"""Trials: which there are, which are to be looked at, and several side by side."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from django.db.models import Count, Exists, OuterRef, Prefetch, Q, QuerySet, Subquery

from production.attachments.models import Attachment
from production.fragrance.domain import Remark
from production.fragrance.reads import remarks_each
from production.recipes.models.formulas import Formula, VersionLine
from production.record.models.ink import Deed
from production.record.reads.restated import as_now, by_day
from production.stock.models.batches import Batch, Promotion, Stage, Step
from production.stock.models.lots import Lot, Movement
from production.stock.models.readings import Measurement
from production.stock.reads.batches import is_lost
from production.workshop.models.items import Item

LOOK = Step.Look
USED, MADE = Movement.Kind.USED, Movement.Kind.MADE
MOST_BESIDE = 6
MOST_DUE = 50


def becomes(soap: Lot) -> Item:
    """What a soap is finished into: by the newest recipe that takes it, else itself."""
    lines = VersionLine.objects.filter(
        item=soap.item_id, version__formula__stage=Stage.FINISHING
    )
    newest = lines.order_by("-version__id").values("version__formula")[:1]
    formula = Formula.objects.filter(pk__in=newest).select_related("makes").first()
    return formula.makes if formula else soap.item


def listed_trials() -> QuerySet[Batch]:
    """Trials, newest first.

    Each with ``made_on``, ``looks``, ``promoted``, ``undone`` and ``lost``.
    """
    making = Movement.objects.standing().filter(batch=OuterRef("pk"), kind=MADE)
    return (
        Batch.objects.filter(trial=True)
        .select_related("version__formula", "lot__item")
        .annotate(
            made_on=Subquery(making.values("on")[:1]),
            looks=Count("steps__look", filter=~Q(steps__look=""), distinct=True),
            promoted=Exists(Promotion.objects.filter(batch=OuterRef("pk"))),
            undone=Exists(Deed.objects.filter(undoes=OuterRef("deed"))),
            lost=is_lost(),
        )
        .order_by("-started", "-id")
    )


def not_seen_yet(batch: Batch, on: date) -> list[str]:
    """What a trial still lacks before it can be accepted; two queries."""
    missing = []
    late = batch.steps.filter(look__in=[LOOK.DAY, LOOK.WEEK], on__lte=on)
    if not late.exists():
        missing.append(
            "Look at it after a day or later and note what you see: clouding and "
            "browning take time."
        )
    of_both = Measurement.objects.filter(batch=batch)
    of_both |= Measurement.objects.filter(lot__batch=batch)
    # Whether it is clear is part of a look.
    read = as_now(of_both.exclude(what=Measurement.What.CLARITY))
    if not any(row.on <= on for row in read):
        missing.append(
            "Note at least one reading of it: its neutrality, pH or thickness."
        )
    return missing


@dataclass(frozen=True, slots=True)
class DueLook:
    """A look that nobody has noted yet; ``since`` is the first day it was due."""

    batch: Batch
    look: str
    since: date

    @property
    def label(self) -> str:
        return LOOK(self.look).label


def due_looks(on: date) -> list[DueLook]:
    """Looks to be taken that day: at most one a trial, in two queries.

    After minutes on the day it was made; after a day until that look or the one after
    a week is noted; after a week until it is noted. What is thrown away is let be.
    """
    left = Lot.objects.in_stock().filter(batch__trial=True)
    steps = Step.objects.exclude(look="").only("batch", "look")
    trials = (
        listed_trials()
        .filter(lot__in=left.values("pk"), made_on__lte=on, promoted=False)
        .prefetch_related(Prefetch("steps", steps, to_attr="looked"))
        .order_by("made_on", "id")[:MOST_DUE]
    )
    found = []
    for batch in trials:
        noted = {step.look for step in batch.looked}
        if look := due_look(batch.made_on, noted, on):
            found.append(DueLook(batch, *look))
    return found


def due_look(made_on: date, noted: set[str], on: date) -> tuple[str, date] | None:
    """The one look of a trial that is due, and since when."""
    day, week = made_on + timedelta(days=1), made_on + timedelta(days=7)
    if LOOK.WEEK in noted:
        return None
    if on >= week:
        return LOOK.WEEK, week
    if on >= day:
        return None if LOOK.DAY in noted else (LOOK.DAY, day)
    return None if LOOK.MINUTES in noted else (LOOK.MINUTES, made_on)


@dataclass(frozen=True, slots=True)
class Part:
    """What one lot is of a whole trial."""

    lot: Lot
    grams: Decimal
    share: Decimal | None


@dataclass(slots=True)
class Trial:
    """One column: a trial with all that is known of it."""

    batch: Batch
    parts: dict[str, list[Part]] = field(default_factory=dict)
    made: Decimal | None = None
    readings: dict[str, Measurement] = field(default_factory=dict)
    looks: dict[str, list[Step]] = field(default_factory=dict)
    notes: list[Step] = field(default_factory=list)
    photos: list[Attachment] = field(default_factory=list)
    remarks: tuple[Remark, ...] = ()
    due: str = ""


def beside(codes: Iterable[str], on: date) -> list[Trial]:
    """Trials by their codes, the first six as they were made, with the look due."""
    batches = listed_trials().filter(code__in=list(codes)).order_by("started", "id")
    found = {batch.pk: Trial(batch) for batch in batches[:MOST_BESIDE]}
    _went_in(found)
    readings = Measurement.objects.exclude(what=Measurement.What.CLARITY)
    of_both = Q(batch__in=found) | Q(lot__batch__in=found)
    rows = readings.filter(of_both).select_related("lot").order_by("id")
    for row in by_day(as_now(rows)):
        found[row.batch_id or row.lot.batch_id].readings[row.what] = row
    _seen(found)
    for trial in found.values():
        made_on = trial.batch.made_on
        due = due_look(made_on, set(trial.looks), on) if made_on else None
        trial.due = due[0] if due else ""
    photos = Attachment.objects.filter(batch__in=found, type__startswith="image/")
    for paper in photos.select_related("deed").order_by("id"):
        found[paper.batch_id].photos.append(paper)
    return list(found.values())


def _seen(found: dict[int, Trial]) -> None:
    """Looks and other steps; a look carries ``clear`` where its deed noted it."""
    steps = list(Step.objects.filter(batch__in=found).order_by("on", "id"))
    clarity = Measurement.objects.filter(
        batch__in=found, what=Measurement.What.CLARITY, passed__isnull=False
    )
    clear = {(row.deed_id, row.batch_id): row.passed for row in clarity}
    for step in steps:
        step.clear = clear.get((step.deed_id, step.batch_id))
        trial = found[step.batch_id]
        into = trial.looks.setdefault(step.look, []) if step.look else trial.notes
        into.append(step)


def _went_in(found: dict[int, Trial]) -> None:
    """Parts with their share of what was made, and what their papers say of it."""
    rows = (
        Movement.objects.standing()
        .filter(batch__in=found, kind__in=[USED, MADE])
        .select_related("lot__item")
        .order_by("id")
    )
    used: dict[int, list[tuple[Lot, Decimal]]] = defaultdict(list)
    for row in rows:
        if row.kind == MADE:
            found[row.batch_id].made = row.amount
        else:
            used[row.batch_id].append((row.lot, -row.amount))
    for pk, trial in found.items():
        for lot, amount in used[pk]:
            share = round(amount / trial.made, 5) if trial.made else None
            part = Part(lot, amount, share)
            trial.parts.setdefault(lot.item.name, []).append(part)
    soaps = [(used[pk], trial.made or Decimal(0)) for pk, trial in found.items()]
    for trial, remarks in zip(found.values(), remarks_each(soaps), strict=True):
        trial.remarks = remarks


def rows_beside(trials: Sequence[Trial]) -> dict[str, list[Any]]:
    """What differs from trial to trial: a heading, and a cell beside each trial."""
    items = dict.fromkeys(name for trial in trials for name in trial.parts)
    kinds = dict.fromkeys(what for trial in trials for what in trial.readings)
    return {
        "parts": [
            (name, [(one, one.parts.get(name)) for one in trials]) for name in items
        ],
        "readings": [
            (what, [(one, one.readings.get(what)) for one in trials]) for what in kinds
        ],
        "looks": [
            (look, label, [(one, one.looks.get(look)) for one in trials])
            for look, label in LOOK.choices
        ],
    }
