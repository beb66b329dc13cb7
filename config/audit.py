"""The laws of the book, proved on the live database."""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from django.conf import settings
from django.db import IntegrityError, connection
from django.db.models import F, Q, Sum

from costing.domain.rollup import difference
from costing.domain.statement import digest_of, read
from costing.models import Statement
from costing.reads import whole_book
from costing.reads.differing import differing
from labels.domain.issued import canonical, digest
from labels.files.kept import faults_in
from labels.models import IssuedLabel
from labels.reads.issued import inputs_in
from production.contents.domain.tracing import Edge, first_cycle, reached
from production.contents.reads.closure import back_closure, forward_closure
from production.fitness.reads.what_left import leavings, unanswered
from production.models import (
    Attachment,
    Batch,
    Deed,
    Given,
    Item,
    Lot,
    Movement,
    Place,
    PurchaseLine,
    Stage,
    Status,
    Stock,
    Version,
    still_a_trial,
)
from production.papers.files.attachments import load
from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused
from production.recipes.actions.formulas import version_digest
from production.record.actions.deeds import MOVES_GOODS
from production.record.domain.text import PAST
from production.record.models.ink import missing_triggers
from production.release.reads.tested_before import tested_before
from production.stock.domain.balance import beyond_band
from production.stock.domain.ledger import first_shortfall
from production.stock.reads.stock import entered, ledger_entries
from production.tracing.reads.trace import finished
from production.yields.reads import explained, outturns

KIND = Movement.Kind
RELEASED = Status.Word.RELEASED


@dataclass(frozen=True, slots=True)
class Finding:
    """What was found of one law: what was looked at, and every fault by name.

    ``apart`` is no fault, and somebody should look at it all the same.
    """

    law: str
    looked_at: str
    faults: list[str]
    apart: list[str] = field(default_factory=list)


def audit() -> Iterator[Finding]:
    """Try each law; a fault names the lot or batch that breaks it."""
    lots = list(Lot.objects.order_by("pk"))
    edges = _edges()
    yield Finding(
        "No lot is below zero",
        f"{len(lots)} lots, and what is kept of each",
        [*_below_zero(lots), *_kept()],
    )
    yield Finding(
        "No lot is made from itself or from what was not there yet",
        f"{len(edges)} uses",
        _out_of_order(edges),
    )
    yield Finding(
        "Backward and forward trace agree, and every unit leads to somebody",
        f"{len(lots)} lots",
        _trace(lots, edges),
    )
    yield _mass(list(Batch.objects.select_related("version", "lot")))
    value = "the whole book, and what is kept of it"
    yield Finding("Value is accounted for", value, list(_value()))
    yield _fit()
    yield Finding(
        "What was written never changed", "guards, corrections, checksums", list(_ink())
    )


def _fit() -> Finding:
    """Nothing caustic left untested, or after a check that was not passed."""
    faults, apart, looked_at = [], [], 0
    for row in leavings():
        looked_at += 1
        entry = (
            f"{row.lot}: {plain(row.amount)} {row.movement.kind} on {row.movement.on}, "
            f"entry {row.movement.pk}, {row.who}"
        )
        if row.past and not row.failed_then and not unanswered(row):
            if row.then:
                apart.append(f"{entry}. Of its past no check is on file")
        elif unanswered(row):
            apart.append(f"{entry}. It left before it was known: {row.now[0].says}")
        elif row.then:
            faults.append(f"{entry}. {row.then[0].says}")
    apart += [f"{lot}: tested before this book" for lot in tested_before()]
    found = f"{looked_at} entries that left alkaline lots"
    return Finding("Nothing alkaline left untested", found, faults, apart)


def _edges() -> list[Edge]:
    rows = (
        Movement.objects.used()
        .filter(batch__in=finished())
        .values_list("lot__code", "batch__lot__code", "amount")
    )
    return [Edge(source, target, -amount) for source, target, amount in rows]


def _below_zero(lots: list[Lot]) -> list[str]:
    faults: list[str] = []
    # By the thousand: a database takes only so many keys in one question.
    parts = range(0, len(lots), 5000)
    entries = [entry for at in parts for entry in ledger_entries(lots[at : at + 5000])]
    while shortfall := first_shortfall(entries):
        faults.append(
            f"{shortfall.lot} is {plain(shortfall.short)} short at {shortfall.place} "
            f"on {shortfall.on}"
        )
        entries = [entry for entry in entries if entry.lot != shortfall.lot]
    return faults


def _kept() -> Iterator[str]:
    """What is kept of every lot and place against the sum of its entries."""
    sums = entered()
    rows = Stock.objects.values_list("lot_id", "place_id", "amount")
    kept = {(lot, place): amount for lot, place, amount in rows}
    wrong = {spot for spot in kept.keys() | sums if kept.get(spot) != sums.get(spot)}
    lots = Lot.objects.in_bulk({lot for lot, _ in wrong})
    places = Place.objects.in_bulk({place for _, place in wrong})
    for lot, place in sorted(wrong):
        yield (
            f"{lots[lot]}: {_said(kept.get((lot, place)))} kept at {places[place]}, "
            f"its entries come to {_said(sums.get((lot, place)))}: look who changed "
            "it, then run remake_stock"
        )


def _said(amount: Decimal | None) -> str:
    return "nothing" if amount is None else plain(amount)


def _out_of_order(edges: list[Edge]) -> list[str]:
    faults = []
    if circle := first_cycle(edges):
        faults.append(f"{circle[0]} is made from itself: {', '.join(circle)}")
    standing = Movement.objects.standing().select_related("lot", "batch")
    made = {row.batch_id: row for row in standing.filter(kind=KIND.MADE)}
    used = standing.filter(kind=KIND.USED, batch__in=finished())
    for row in used.exclude(lot__item__kind=Item.Kind.PACKAGING):
        done = made[row.batch_id]
        if row.on > done.on:
            faults.append(
                f"{done.lot}: batch {row.batch} used {row.lot} after it was done"
            )
    return faults


def _trace(lots: list[Lot], edges: list[Edge]) -> list[str]:
    """The recursive query against a walk in memory, lot by lot, both ways."""
    codes = {lot.pk: lot.code for lot in lots}
    behind, ahead_of = defaultdict(list), defaultdict(list)
    for edge in edges:
        behind[edge.target].append(edge.source)
        ahead_of[edge.source].append(edge.target)
    faults = []
    for lot in lots:
        back = {codes[pk] for pk in back_closure(lot.pk)}
        ahead = {codes[pk] for pk in forward_closure(lot.pk)}
        if back != reached(behind, lot.code):
            faults.append(f"{lot}: what it was made from is not found whole")
        if ahead != reached(ahead_of, lot.code):
            faults.append(f"{lot}: what it went into is not found whole")
    left = Movement.objects.standing()
    unnamed = left.filter(kind=KIND.SOLD).filter(
        sale_line__sale__customer__isnull=True, sale_line__sale__channel=""
    )
    faults += [f"{row.lot}: sold to nobody" for row in unnamed.select_related("lot")]
    faults += [*_papers(), *_words(lots)]
    given = set(Given.objects.values_list("movement_id", flat=True))
    for row in left.filter(kind=KIND.GIVEN).select_related("lot"):
        if (row.root_id or row.pk) not in given:
            faults.append(f"{row.lot}: given for no reason")
    odd = left.filter(kind=KIND.SOLD).exclude(sale_line__lot=F("lot"))
    faults += [
        f"{row.lot}: sold under another lot" for row in odd.select_related("lot")
    ]
    return faults


def _papers() -> Iterator[str]:
    """What came and went against the papers that say so, corrections left aside."""
    first = Movement.objects.filter(rank__isnull=True, reverses__isnull=True)
    arrived = (
        first.filter(kind=KIND.RECEIVED, lot__line__isnull=False)
        .values("lot__line")
        .annotate(total=Sum("amount"))
        .values_list("lot__line", "total")
    )
    lines = PurchaseLine.objects.in_bulk([line for line, _ in arrived])
    for line, total in arrived:
        if lines[line].amount != total:
            lot = lines[line].lots.first()
            yield f"{lot}: {plain(total)} arrived, its purchase says otherwise"
    sold = first.filter(kind=KIND.SOLD).select_related("lot", "sale_line")
    for row in sold:
        if row.sale_line.amount != -row.amount:
            yield f"{row.lot}: {plain(-row.amount)} left, its sale says otherwise"


def _words(lots: list[Lot]) -> Iterator[str]:
    """Sold, and used but for rework, only while released: at some time of that day.

    Soap may be cooked on from any state, made here or not.
    """
    words: dict[int, list[Status]] = defaultdict(list)
    for row in Status.objects.order_by("on", "id"):
        words[row.lot_id].append(row)
    named = Q(lot__item__category=Item.Category.SOAP)
    soap = named | Q(lot__item__kind=Item.Kind.MADE, lot__item__category="")
    rows = (
        Movement.objects.standing()
        .filter(Q(kind=KIND.SOLD) | Q(kind=KIND.USED) & ~Q(batch__stage=Stage.REWORK))
        .exclude(Q(lot__batch__isnull=False) | soap, batch__stage=Stage.COOK)
    )
    for row in rows.select_related("lot"):
        before = [word for word in words[row.lot_id] if word.on < row.on]
        that_day = [word for word in words[row.lot_id] if word.on == row.on]
        if not any(w.status == RELEASED for w in [*before[-1:], *that_day]):
            yield f"{row.lot}: {row.kind} on {row.on} while it was not released"
    begun = set(Movement.objects.standing().values_list("lot_id", flat=True))
    for lot in lots:
        if lot.pk in begun and not words[lot.pk]:
            yield f"{lot}: nobody ever said what state it is in"


def _mass(batches: list[Batch]) -> Finding:
    """What went in is what came out, what was lost by name, and the scale's error."""
    looked_at = f"{len(batches)} batches"
    finding = Finding("Mass is accounted for", looked_at, [], [])
    reasons, found = explained(), outturns(batches)
    past = set(
        Movement.objects.filter(kind=KIND.MADE, deed__key__startswith=PAST).values_list(
            "batch", flat=True
        )
    )
    for batch in batches:
        one = found[batch.pk]
        held = one.balance
        if held is None:
            continue
        named = sum(held.named.values(), Decimal(0))
        if held.used != held.made + held.evaporation + named + held.difference:
            finding.faults.append(f"{batch}: its grams do not add up")
        if one.surplus:
            says = f"{batch}: {plain(one.surplus)} g came out of nothing"
            if batch.pk in past:
                finding.apart.append(f"{says}, in a past that was taken over")
            else:
                finding.faults.append(says)
        # A past answers for what its recipes did not hold, as it did on its way in.
        asked = batch.pk not in past or beyond_band(held, one.band)
        if one.missing and asked and not reasons[batch.pk]:
            finding.faults.append(
                f"{batch.lot}: {plain(one.missing)} g are unexplained in {batch}"
            )
    return finding


def _value() -> Iterator[str]:
    try:
        book = whole_book()
    except Refused as fault:
        yield str(fault)
        return
    if gap := difference(book.valuation.totals):
        yield f"what came in and where it went differ by {gap} billionths"
    trials = Lot.objects.filter(still_a_trial())
    held = set(trials.values_list("code", flat=True))
    for code in held ^ {c for c, lot in book.valuation.lots.items() if lot.trial}:
        yield f"{code}: a trial is stock once it is accepted, and not before"
    on_hand = dict(Lot.objects.with_on_hand().values_list("code", "on_hand"))
    for code, value in book.valuation.lots.items():
        if value.amount_left != on_hand[code]:
            yield f"{code}: valued at {value.amount_left}, on hand {on_hand[code]}"
        if not value.amount_left and any(value.left.values()):
            yield f"{code}: empty, and still worth something"
    for one in differing(book):
        yield f"{one}: look who changed it, then run remake_values"


def _statements() -> Iterator[str]:
    """Each frozen statement is the one that was printed, and follows the one before."""
    ends: dict[date, Mapping[str, int]] = {}
    for row in Statement.objects.select_related("closing").order_by("closing__through"):
        name = f"statement of {row.closing.through}"
        if row.sha256 != digest_of(row.text):
            yield f"{name}: it is not the one that was kept then"
            continue
        try:
            found = read(row.text)
        except Refused as fault:
            yield f"{name}: {fault}"
            continue
        before = ends.get(found.after) if found.after else None
        if before is not None and found.start != before:
            yield f"{name}: it does not start from what the closing before it froze"
        ends[found.through] = found.end


def _ink() -> Iterator[str]:
    yield from _statements()
    try:
        connection.check_constraints()
    except IntegrityError as fault:
        yield f"an entry belongs to something that is gone: {fault}"
    written = set(Movement.objects.values_list("deed_id", flat=True))
    for deed in Deed.objects.filter(verb__in=MOVES_GOODS):
        if deed.pk not in written:
            yield f"{deed.verb} of {deed.on}, no. {deed.pk}, has lost its entries"
    for name in missing_triggers(connection):
        yield f"the guard {name} is missing: run migrate, and look who took it away"
    mirrors = Movement.objects.filter(kind=KIND.REVERSED).select_related("reverses")
    for row in mirrors.select_related("lot", "reverses"):
        first = row.reverses
        if (row.lot_id, row.amount, row.on, row.place_id) != (
            first.lot_id,
            -first.amount,
            first.on,
            first.place_id,
        ):
            yield f"{row.lot}: a correction is not the opposite of its entry"
    versions = Version.objects.select_related("formula").prefetch_related(
        "lines__item", "checks"
    )
    for version in versions:
        if version.digest != version_digest(
            version, version.lines.all(), version.checks.all()
        ):
            yield f"{version}: its wording is not the one that was written"
    for paper in Attachment.objects.order_by("pk"):
        raw = load(settings.HOME, paper.sha256)
        if raw is None or len(raw) != paper.size:
            yield f"attachment {paper.pk}, {paper}: its bytes are gone or changed"
    yield from _issued()


def _issued() -> Iterator[str]:
    """Each issued label has its file, and the file says what is kept of it."""
    for row in IssuedLabel.objects.select_related("lot", "item").order_by("pk"):
        raw = load(settings.HOME, row.sha256)
        if raw is None or len(raw) != row.size:
            yield f"{row}: its file is gone or changed"
            continue
        try:
            told = inputs_in(row)
            if row.words != digest(canonical(told["words"])):
                yield f"{row}: its words are not those that were issued"
            together = told["on"].get("together", False)
            found = faults_in(raw, told["drawing"], together=together)
            yield from (f"{row}: {fault}" for fault in found)
        except (LookupError, TypeError, ValueError, ArithmeticError):
            yield f"{row}: what was kept of it cannot be read"
