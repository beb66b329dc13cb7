"""What is left of a purchase, a sale, a return, once some of it was taken back."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Prefetch

from production.buying.models import LinePrice, Purchase, PurchaseLine
from production.quantities.domain.numbers import ZERO
from production.record.reads.restated import as_now
from production.stock.models.lots import Lot, Movement


def arrivals(lines: Iterable[int] | None = None) -> dict[int, dict[int, Decimal]]:
    """What each line brought, lot by lot, less what was taken back; None is all."""
    found: dict[int, dict[int, Decimal]] = defaultdict(dict)
    rows = Movement.objects.standing().filter(
        kind=Movement.Kind.RECEIVED, lot__line__isnull=False
    )
    if lines is not None:
        rows = rows.filter(lot__line__in=set(lines))
    for line, lot, amount in rows.order_by("lot_id").values_list(
        "lot__line_id", "lot_id", "amount"
    ):
        found[line][lot] = found[line].get(lot, ZERO) + amount
    return found


@dataclass(frozen=True, slots=True)
class ShownLine:
    """A line of a purchase with what is left of it; None where it had no goods."""

    line: PurchaseLine
    left: Decimal | None
    lots: list[tuple[Lot, Decimal]]

    @property
    def stands(self) -> bool:
        return self.line.stands

    @property
    def less(self) -> bool:
        """Whether the book holds another amount than the line says."""
        return self.left is not None and self.left != self.line.amount


def shown_lines(purchase: Purchase) -> list[ShownLine]:
    """The lines as they were written, beside what is left of each."""
    lines = as_now(
        purchase.lines.with_standing()
        .select_related("item")
        .prefetch_related(
            Prefetch("lots", Lot.objects.order_by("pk")),
            Prefetch("prices", LinePrice.objects.order_by("-pk")),
        )
    )
    found = arrivals(line.pk for line in lines)
    return [
        ShownLine(
            line=line,
            left=sum(found[line.pk].values(), ZERO) if line.item else None,
            lots=[(lot, found[line.pk].get(lot.pk, ZERO)) for lot in line.lots.all()],
        )
        for line in lines
    ]
