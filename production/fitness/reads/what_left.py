"""What left: sold, handed over, or put into bottles; was it fit then, and is it now.

Each is judged with what was typed by then, in the order of deeds; a past that was taken
in from a file is judged by its dates, since its deeds were all typed on one day.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from itertools import groupby
from typing import Any

from django.db.models import Q, QuerySet

from production.contents.reads.closure import forward_closure
from production.fitness.domain.reasons import CAUSTIC, Mends, Purpose, Reason, fit_for
from production.fitness.reads.rows import Rows, load
from production.record.domain.text import PAST
from production.record.models.ink import Deed
from production.record.reads.restated import recipient
from production.stock.models.batches import COUNTED
from production.stock.models.lots import Given, Lot, Movement
from production.workshop.models.items import Item

KIND = Movement.Kind
HANDED = [Given.Why.GIFT, Given.Why.TESTER, Given.Why.OWN_USE]
NAMED = [Given.Why.SAMPLE, Given.Why.RETAINED]  # only where somebody is named


@dataclass(frozen=True, slots=True)
class Leaving:
    """One entry that left, its lot, and what stood open in it."""

    movement: Movement
    then: tuple[Reason, ...]
    now: tuple[Reason, ...]

    @property
    def lot(self) -> Lot:
        return self.movement.lot

    @property
    def past(self) -> bool:
        return self.movement.deed.key.startswith(PAST)

    @property
    def failed_then(self) -> bool:
        return any(reason.mends == Mends.FAILED for reason in self.then)

    @property
    def who(self) -> str:
        """Who has it: a customer, a recipient, a channel, or the lot it is in."""
        row = self.movement
        if row.sale_line_id:
            sale = row.sale_line.sale
            return str(sale.customer or sale.channel)
        if row.kind == KIND.GIVEN:
            return row.recipient or row.first.given.get_why_display()
        return f"batch {row.batch}"

    @property
    def amount(self) -> Decimal:
        return -self.movement.amount


def leavings(lots: Iterable[int] | None = None, key: str = "") -> Iterator[Leaving]:
    """Everything that left, of all lots or of these; ``key`` narrows to some deeds."""
    rows = _exits()
    if lots is not None:
        rows = rows.filter(lot__in=list(lots))
    if key:
        rows = rows.filter(deed__key__startswith=key)
    ends: dict[str, int] = {}
    for lot, group in groupby(rows, key=lambda row: row.lot):
        behind = load([lot])
        if not behind.family(date.max).alkaline(lot.code):
            continue
        for row in group:
            yield _judged(behind, row, ends)


def left_before_it_was_known(lot: Lot) -> list[Leaving]:
    """What left of a lot and of what was made from it, is not fit now, and nobody has
    answered for."""
    return asks_for_answer(lot.pk, *forward_closure(lot.pk))


def asks_for_answer(*lots: int) -> list[Leaving]:
    """The same of these lots alone, by their keys."""
    return [row for row in leavings(lots) if unanswered(row)]


def unanswered(row: Leaving) -> bool:
    """Fit when it left and not now, and no owner's answer stands beside it.

    Of a past that nobody tested, only a failure since asks for an answer.
    """
    if hasattr(row.movement.first, "answered"):
        return False
    if row.past:
        failed = any(reason.mends == Mends.FAILED for reason in row.now)
        return failed and not row.failed_then
    return bool(row.now) and not row.then


def _exits() -> QuerySet[Movement]:
    counted = Q(batch__stage__in=COUNTED) | Q(batch__lot__item__unit=Item.Unit.PIECE)
    left = (
        Q(kind=KIND.SOLD)
        | _handed_over("given")
        | _handed_over("root__given")
        | Q(kind=KIND.USED) & counted & ~Q(lot__item__kind=Item.Kind.PACKAGING)
    )
    return (
        Movement.objects.standing()
        .annotate(recipient=recipient())
        .filter(left)
        .select_related(
            "lot__item",
            "deed__by",
            "batch",
            "given",
            "answered",
            "root__given",
            "root__answered",
            "sale_line__sale__customer",
        )
        .order_by("lot", "id")
    )


def _handed_over(given: str) -> Q:
    why = f"{given}__why__in"
    named = Q(**{why: NAMED}) & ~Q(recipient="")
    return Q(kind=KIND.GIVEN) & (Q(**{why: HANDED}) | named)


def _judged(rows: Rows, row: Movement, ends: dict[str, int]) -> Leaving:
    past = row.deed.key.startswith(PAST)
    first = row.deed_id if row.rank is None else _first_deed(row)
    if past:
        known = _last_of_its_file(row.deed.key, ends)
        then = _open(rows, row, row.on, known_by=known, by_date=True)
    elif rows.restated_since(first):
        then = ()
    else:
        then = _open(rows, row, row.on, CAUSTIC | {Mends.RESTORED}, known_by=first)
    if row.deed.reason and any(reason.by_act for reason in then):
        then = tuple(reason for reason in then if not reason.by_act)
    now = tuple(r for r in _open(rows, row, date.max) if not r.by_act)
    return Leaving(row, then, now)


def _last_of_its_file(key: str, ends: dict[str, int]) -> int:
    """The deed with which the taking in of a file ended: later ones were typed here."""
    mark = ":".join(key.split(":")[:2])
    if mark not in ends:
        deeds = Deed.objects.filter(key__startswith=f"{mark}:").order_by("-pk")
        ends[mark] = deeds.values_list("pk", flat=True)[0]
    return ends[mark]


def _first_deed(row: Movement) -> int:
    return Movement.objects.values_list("deed_id", flat=True).get(pk=row.rank)


def _open(
    rows: Rows,
    row: Movement,
    on: date,
    mends: frozenset[Mends] = CAUSTIC,
    **known: Any,
) -> tuple[Reason, ...]:
    """What is caustic about it, or may be; papers, rests and holds are other laws.

    What had left before the book was restored is no question of its backup.
    """
    purpose = {KIND.SOLD: Purpose.SALE, KIND.GIVEN: Purpose.GIFT}.get(
        Movement.Kind(row.kind), Purpose.FILL
    )
    family = rows.family(on, **known)
    reasons = fit_for(family, row.lot.code, purpose).reasons
    return tuple(reason for reason in reasons if reason.mends in mends)
