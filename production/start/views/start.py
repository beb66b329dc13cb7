"""What is under way, what waits, what is short: each line leads to the act."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.shortcuts import render
from django.urls import reverse

from production.batches.reads.trials import due_looks
from production.batches.views.batches import TITLES
from production.buying.reads.bills import waiting_bills
from production.counting.reads import disagreeing
from production.fitness.reads.restored import waiting_restore
from production.fitness.reads.rows import load
from production.quantities.domain.numbers import grouped
from production.record.reads.clock import today
from production.release.views.states import asks_for_its_own, state_in
from production.restoring.reads import to_count_again
from production.selling.reads.returned_goods import to_look_at
from production.start.reads import start as reads
from production.start.views.backups import about_backup
from production.stock.models.batches import Batch
from production.stock.models.lots import Lot

# A line of the list has no room for the whole sentence: the lot's page has it.
SHORTLY = {
    "Note the check": "Not tested yet.",
    "Test it again": "The neutrality check failed.",
}


@dataclass(frozen=True)
class Row:
    """One thing, what is said of it, and the act that it leads to."""

    thing: Any
    words: str
    says: str = ""
    amount: Decimal | None = None
    unit: str = "g"
    below: Decimal | None = None
    day: date | None = None
    link: str = ""
    act: str = ""


@dataclass(frozen=True)
class Section:
    """Rows under a heading; ``counted`` ends "3 …", ``none`` is said without rows."""

    title: str
    counted: str
    none: str
    rows: list[Row]
    more: bool = False

    @property
    def cut(self):
        """There may be more than is shown."""
        return self.more or len(self.rows) >= reads.MOST


def start(request):
    on = today()
    sections = sections_of(on)
    return render(
        request,
        "production/start/start.html",
        {
            "sections": [section for section in sections if section.rows],
            "calm": calm([section.none for section in sections if not section.rows]),
            "today": on,
            "runs": [(stage, words) for stage, (words, _) in TITLES.items()],
            "backup": about_backup(request.user),
            "empty": not Lot.objects.exists() and not Batch.objects.exists(),
        },
    )


def sections_of(on):
    stopped = reads.waiting()
    family = load(stopped).family(on)
    resting = [lot for lot in stopped if lot.free_on and lot.free_on > on]
    ready = [lot for lot in stopped if lot not in resting]
    more = len(stopped) >= reads.MOST
    return [
        *_restored(),
        *_failed(on),
        Section("Under way", "under way", "no batch is open", under_way()),
        *_came_back(),
        *_looks(on),
        *_counts(),
        Section(
            "Waits for a check or release",
            "waiting",
            "nothing waits",
            [_waits(family, lot) for lot in ready],
            more,
        ),
        Section(
            "Rests",
            "at rest",
            "nothing rests",
            [_rests(family, lot) for lot in resting],
            more,
        ),
        Section("Held", "held", "nothing is held", [_held(x) for x in reads.held()]),
        Section(
            "Short", "short", "nothing is short", [_short(x) for x in reads.short()]
        ),
        Section(
            "Expires",
            "expiring",
            "nothing expires within 30 days",
            [_expires(lot, on) for lot in reads.expiring(on)],
        ),
        Section(
            "Price still missing",
            "without a price",
            "every purchase has its price",
            [_unpriced(line) for line in reads.unpriced()],
        ),
        *_unweighed(),
    ]


def calm(words):
    """What there is none of, in one sentence: an empty heading says too much."""
    if not words:
        return ""
    *most, last = words
    said = f"{', '.join(most)} and {last}" if most else last
    return f"{said[0].upper()}{said[1:]}."


def under_way():
    return [
        Row(
            batch,
            f"{batch.get_stage_display().capitalize()} {batch}",
            says=f"since {batch.started:%Y-%m-%d}"
            + (f", {batch.version.formula}" if batch.version else ""),
            link=reverse("batch-make" if batch.fed else "batch-use", args=[batch.code]),
            act="Make the lot" if batch.fed else "Use lots",
        )
        for batch in reads.open_batches()
    ]


def _restored():
    """What a restored book has lost; said only where there is some."""
    sections = []
    if waits := waiting_restore():
        row = Row(
            waits.restored,
            f"This book stands as of {waits.since}",
            says="which checks, holds and codes came since? Until an owner says it, "
            "nothing with alkali or soap in it is sold",
            link=reverse("restored"),
            act="Say what happened since",
        )
        title, counted = "Restored from a backup", "restore to answer for"
        sections.append(Section(title, counted, "", [row]))
    rows = [
        _lot(
            lot,
            says="by the book, and some went since the backup",
            link=reverse("lot-count", args=[lot.code]),
            act="Count it",
        )
        for lot in to_count_again()[: reads.MOST]
    ]
    title = "To count since the backup"
    return [*sections, *([Section(title, "to count", "", rows)] if rows else [])]


def _failed(on):
    """What a failed check stops, first of all; said only where there is some."""
    rows = [
        _lot(lot, says="may not go on", link=lot.get_absolute_url(), act="See why")
        for lot in reads.stopped_by_a_check(on)
    ]
    return [Section("A check failed", "stopped by a check", "", rows)] if rows else []


def _came_back():
    """What stands apart until somebody has looked at it, where there is some."""
    rows = [
        Row(
            back.line.lot,
            f"{back.line.lot.item} {back.line.lot}",
            amount=amount,
            unit=back.line.lot.item.unit,
            says=f"came back with {back.line.sale} on {back.movement.on:%Y-%m-%d}",
            link=reverse("return-look", args=[back.pk]),
            act="Look at it",
        )
        for back, amount in to_look_at()[: reads.MOST]
    ]
    return [Section("Came back", "came back", "", rows)] if rows else []


def _looks(on):
    """Trials to be looked at; said only where there are some."""
    rows = [
        Row(
            due.batch,
            f"Trial {due.batch}",
            says=f"{due.batch.lot.item}, {due.label}",
            link=f"{reverse('batch-look', args=[due.batch.code])}?look={due.look}",
            act="Look at it",
        )
        for due in due_looks(on)
    ]
    return [Section("Trials to look at", "to look at", "", rows)] if rows else []


def _counts():
    """Counts that the book no longer agrees with; said only where there are some."""
    rows = [
        Row(
            row.count.lot,
            f"{row.count.lot.item} {row.count.lot}",
            says=_disagrees(row),
            link=f"{row.count.lot.get_absolute_url()}#counts",
            act="Count again, or mend the entry",
        )
        for row in disagreeing()[: reads.MOST]
    ]
    title = "A count and the book disagree"
    return [Section(title, "counted otherwise", "", rows)] if rows else []


def _disagrees(row):
    unit = "g" if row.count.lot.item.unit == "g" else "pcs"
    did = "weighed" if row.count.reweighed else "counted"
    return (
        f"{did} {grouped(row.count.found)} {unit} at {row.count.place} on "
        f"{row.count.on:%Y-%m-%d}; the book now says {grouped(row.says)} {unit}"
    )


def _lot(lot, **facts):
    words = f"{lot.item} {lot}"
    return Row(lot, words, amount=lot.on_hand, unit=lot.item.unit, **facts)


def _waits(family, lot):
    state = state_in(family, lot)
    says = SHORTLY.get(state.words, state.says)
    says = f"{says[0].lower()}{says[1:].rstrip('.')}"
    return _lot(lot, says=says, link=state.link, act=state.words)


def _rests(family, lot):
    """Its check may be noted while it rests; its release has to wait."""
    check = {}
    waits = family.open_points(lot.code) or (
        lot.batch_id and asks_for_its_own(family, lot)
    )
    if waits:
        state = state_in(family, lot)
        check = {"link": state.link, "act": state.words}
    return _lot(lot, says="until", day=lot.free_on, **check)


def _held(lot):
    return _lot(lot, link=reverse("lot-release", args=[lot.code]), act="Release it")


def _short(item):
    making = item.stage is not None
    return Row(
        item,
        item.name,
        amount=item.released,
        unit=item.unit,
        says="released, short below",
        below=item.low_at,
        link=reverse("batch-run", args=[item.stage])
        if making
        else reverse("purchase-record"),
        act=TITLES[item.stage][0] if making else "Record a purchase",
    )


def _expires(lot, on):
    if lot.expires < on:
        link = reverse("lot-discard", args=[lot.code])
        return _lot(lot, says="expired", day=lot.expires, link=link, act="Discard it")
    return _lot(lot, says="good until", day=lot.expires)


def _unweighed():
    """Extra costs that no line can carry yet; said only where there are some."""
    rows = [
        Row(bill.purchase, str(bill.purchase), says=f"the {extra.asks}")
        for bill in waiting_bills()
        for extra in bill.extras
        if extra.asks
    ]
    title, counted = "Extra costs not shared yet", "not shared yet"
    return [Section(title, counted, "", rows)] if rows else []


def _unpriced(line):
    return Row(
        line.purchase,
        f"{line.item}, {line.purchase}",
        amount=line.amount,
        unit=line.item.unit,
        says=f"from {line.purchase.supplier}",
        link=reverse("line-price", args=[line.pk]),
        act="Write the price",
    )
