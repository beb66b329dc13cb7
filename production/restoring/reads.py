"""What the book does not know, since it was restored from a backup."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from production.buying.models import Purchase
from production.contents.reads.open_batches import in_open_batches
from production.fitness.reads.rows import load
from production.quantities.domain.codes import Issued, read_issued
from production.record.reads.clock import at_home, minute_of
from production.selling.models import Return, Sale
from production.stock.models.batches import Batch
from production.stock.models.kept import Count
from production.stock.models.ledger import Lot
from production.stock.models.restored import Restored, SinceBackup
from production.workshop.models.workshop import CodeSeries

NUMBERED = {"purchase": Purchase, "sale": Sale, "return": Return}


@dataclass(frozen=True, slots=True)
class Waiting:
    """Restores that nobody has answered for: the last of them, and since when.

    ``day`` and ``since`` are the backup's, by the workshop's clock.
    """

    restored: Restored
    day: date
    since: str


def waiting_restore() -> Waiting | None:
    """What asks for an answer, None where nothing does; one query where it is so."""
    rows = list(Restored.objects.unanswered())
    if not rows:
        return None
    taken = min(row.taken_at for row in rows)
    return Waiting(rows[-1], at_home(taken).date(), minute_of(taken))


def series_now() -> dict[str, int]:
    """How far every series of codes and numbers has come."""
    return dict(CodeSeries.objects.values_list("name", "last"))


@dataclass(frozen=True, slots=True)
class Uncertain:
    """A lot on hand, or an open batch, with alkali in it or soap."""

    lot: Lot | None
    batch: Batch | None = None
    on_hand: Decimal = Decimal(0)

    @property
    def thing(self) -> Lot | Batch | None:
        return self.lot or self.batch


def alkaline_here(on: date) -> list[Uncertain]:
    """All that may have been checked or held since the backup; a fixed number of
    queries."""
    here = list(Lot.objects.in_stock().select_related("item").order_by("item__name"))
    open_uses = in_open_batches()
    family = load([*here, *(use.lot for use in open_uses)]).family(on)
    found = [
        Uncertain(lot, None, lot.on_hand) for lot in here if family.alkaline(lot.code)
    ]
    batches = [use.batch for use in open_uses if family.alkaline(use.lot.code)]
    return [*(Uncertain(None, one) for one in dict.fromkeys(batches)), *found]


def given_since_a_backup(text: str) -> str:
    """Of a typed mark that stands on something the book has lost: as of when; else "".

    One that is in the book is none of these.
    """
    restores = list(Restored.objects.prefetch_related("answers"))
    if not restores:
        return ""
    try:
        issued = read_issued(text)
    except ValueError:
        issued = Issued(text.strip())
    for row in restores:
        if _lost(issued, text, row) and not _in_the_book(issued, text):
            return minute_of(row.taken_at)
    return ""


def _lost(issued: Issued, text: str, row: Restored) -> bool:
    marks = {issued.text.upper(), " ".join(text.split()).upper()}
    first = row.last.get(issued.series, 0)
    for answer in row.answers.all():
        if marks & set(answer.codes.upper().splitlines()):
            return True
        if issued.series and first < issued.serial <= answer.last.get(issued.series, 0):
            return True
    return False


def _in_the_book(issued: Issued, text: str) -> bool:
    marks = {issued.text, text, text.strip()}
    if issued.series in NUMBERED:
        papers = NUMBERED[issued.series]
        return papers._default_manager.filter(number__in=marks).exists()
    return (
        Lot.objects.filter(code__in=marks).exists()
        or Batch.objects.filter(code__in=marks).exists()
    )


def to_count_again() -> list[Lot]:
    """Lots of which something was sold or used since a backup, and that nobody has
    counted since that was said."""
    wanted = {
        pk: answer.deed_id
        for answer in SinceBackup.objects.order_by("pk")
        for pk in answer.to_count
    }
    if not wanted:
        return []
    counted: dict[int, int] = {}
    for lot, deed in Count.objects.filter(lot__in=wanted).values_list("lot", "deed"):
        counted[lot] = max(deed, counted.get(lot, 0))
    left = [pk for pk, since in wanted.items() if counted.get(pk, 0) < since]
    lots = Lot.objects.filter(pk__in=left).in_stock()
    return list(lots.select_related("item").order_by("item__name", "id"))
