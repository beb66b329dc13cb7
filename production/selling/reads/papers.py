"""What is left of a sale, once some of it was taken back."""

from collections.abc import Iterable

from django.db.models import OuterRef, Prefetch, QuerySet, Subquery

from production.selling.domain.sales_tax import Taxed
from production.selling.models import Return, Sale, SaleLine
from production.selling.reads.revenue import line_taxed
from production.stock.models.lots import Movement


def shown_sale_lines() -> QuerySet[SaleLine]:
    """Lines of sales with their returns, each with ``stands``."""
    back = Return.objects.with_standing().select_related("movement")
    back = back.prefetch_related("looks").order_by("pk")
    sold = Movement.objects.filter(
        kind=Movement.Kind.SOLD, sale_line=OuterRef("pk")
    ).order_by("-pk")
    return (
        SaleLine.objects.with_standing()
        .annotate(place=Subquery(sold.values("place__name")[:1]))
        .select_related("lot__item")
        .prefetch_related(Prefetch("returns", back))
    )


def with_brought(sale: Sale) -> Iterable[tuple[SaleLine, Taxed | None]]:
    """The lines of a sale, each with what it brought before anything came back."""
    for line in sale.lines.all():
        line.sale = sale
        yield line, line_taxed(line)
