"""The family tree of a lot, found by walking two indexes that hold only its edges.

A recursive query costs what it finds. Each step goes from the found lots outwards:
lot -> batches that used it -> the lots they made, or the other way round.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import QuerySet

from production.contents.domain.tracing import Edge, net_edges
from production.contents.reads.closure import back_closure, forward_closure
from production.contents.reads.open_batches import InOpen, in_open_batches
from production.record.reads.restated import recipient
from production.selling.models import SaleLine
from production.stock.models.batches import Batch
from production.stock.models.lots import Lot, Movement


@dataclass(frozen=True, slots=True)
class Delivery:
    """What left, to whom: a customer or recipient, or only a channel and a day."""

    who: str | None
    channel: str
    on: date
    lot: str
    amount: Decimal


@dataclass(frozen=True, slots=True)
class Trace:
    """A lot's family: codes behind it, codes ahead of it, and who has them.

    ``open`` is what of it, and of what was made of it, stands in open batches.
    """

    lot: str
    back: list[str]
    forward: list[str]
    customers: list[str]
    deliveries: list[Delivery]
    edges: list[Edge]
    open: list[InOpen]


def trace(lot: Lot) -> Trace:
    """Answer for one lot: from where, into what, and to whom."""
    back = back_closure(lot.pk)
    forward = forward_closure(lot.pk)
    codes = dict(
        Lot.objects.filter(pk__in=back | forward | {lot.pk}).values_list("pk", "code")
    )
    deliveries = deliveries_of(forward | {lot.pk})
    return Trace(
        lot=lot.code,
        back=sorted(codes[pk] for pk in back),
        forward=sorted(codes[pk] for pk in forward),
        customers=sorted({item.who for item in deliveries if item.who}),
        deliveries=deliveries,
        edges=_edges(back | {lot.pk}, forward | {lot.pk}, codes),
        open=in_open_batches(forward | {lot.pk}),
    )


def _edges(
    back: Iterable[int], forward: Iterable[int], codes: dict[int, str]
) -> list[Edge]:
    """The edges walked on either side, one a pair, net of what was taken back."""
    behind, ahead = set(back), set(forward)
    rows = (
        Movement.objects.used()
        .filter(batch__in=finished(behind | ahead))
        .values_list("lot_id", "batch__lot__id", "amount")
    )
    walked = [
        Edge(codes[source], codes[target], -amount)
        for source, target, amount in rows
        if {source, target} <= behind or {source, target} <= ahead
    ]
    return sorted(net_edges(walked), key=lambda edge: (edge.source, edge.target))


def finished(lots: Iterable[int] | None = None) -> QuerySet[Batch]:
    """Batches whose lot was made, and not taken back: all, or those of these lots."""
    made = Movement.objects.made()
    if lots is not None:
        made = made.filter(lot__in=lots)
    return Batch.objects.filter(pk__in=made.values("batch"))


def deliveries_of(lots: Iterable[int]) -> list[Delivery]:
    """Everything that left these lots for somebody, sold or given, as it left."""
    pks = set(lots)
    standing = Movement.objects.standing().filter(lot__in=pks)
    sold = (
        SaleLine.objects.filter(movements__in=standing.filter(kind=Movement.Kind.SOLD))
        .order_by("sale__on", "id")
        .values_list(
            "sale__customer__name", "sale__channel", "sale__on", "lot__code", "amount"
        )
    )
    given = standing.filter(kind=Movement.Kind.GIVEN).annotate(who=recipient())
    given = given.order_by("on", "id")
    found = [Delivery(*row) for row in sold]
    found += [
        Delivery(
            who=row.who or None,
            channel=row.first.given.why,
            on=row.on,
            lot=row.lot.code,
            amount=-row.amount,
        )
        for row in given.select_related("lot", "given", "root__given")
    ]
    return sorted(found, key=lambda item: (item.on, item.lot, item.who or ""))
