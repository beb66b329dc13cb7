"""Channels as the domain wants them, prices of a day, and the wanted margins."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from costing.domain import channels as domain
from costing.domain.pricing import Step
from costing.models.prices import Channel, Price, Target
from production.correcting.reads.about import Named
from production.models import Customer, Item, Sale, SaleLine
from production.record.reads.restated import as_now


def channel_of(row: Channel) -> domain.Channel:
    """A card as the domain reckons with it. Refused where it leaves nothing."""
    return domain.Channel(
        name=row.name,
        percent=Fraction(row.percent),
        consignment=Fraction(row.consignment),
        payment=Fraction(row.payment),
        fixed=Fraction(row.fixed),
        shipping=Fraction(row.shipping),
        payment_fixed=Fraction(row.payment_fixed),
        pieces_per_order=Fraction(row.pieces_per_order),
        stall_fee=Fraction(row.stall_fee),
        pieces_a_day=Fraction(row.pieces_a_day or 0),
        tax=Fraction(row.tax),
        tax_inside=row.tax_inside,
        step=Step(row.step, row.ending),
    )


def prices_on(day: date, **of: object) -> dict[tuple[int, int], Price]:
    """What is asked on a day, by (item, channel); what ended by then is left out."""
    rows = Price.objects.filter(valid_from__lte=day, **of).order_by("valid_from", "id")
    found = {(row.item_id, row.channel_id): row for row in rows}
    return {key: row for key, row in found.items() if row.price is not None}


def history_of(item: Item) -> list[Price]:
    """Every price that was set of it and stands, the latest first."""
    rows = Price.objects.filter(item=item).select_related("channel", "deed__by")
    return list(rows.order_by("-valid_from", "-id"))


def priced_in(deeds: Collection[int]) -> list[tuple[int, Named]]:
    """The product of each of these acts that set a price or a target; one query."""
    rows = (
        model.written.filter(deed__in=deeds, item__isnull=False)
        .order_by()
        .values_list("deed", "item", "item__name")
        for model in (Price, Target)
    )
    first, second = rows
    return [
        (deed, Named("item", str(item), name))
        for deed, item, name in sorted(first.union(second))
    ]


@dataclass(frozen=True, slots=True)
class Targets:
    """The margins wanted: of single products, else the workshop's; None: none yet."""

    all: Decimal | None
    own: Mapping[int, Decimal]

    def of(self, item: int | None) -> Decimal | None:
        return self.all if item is None else self.own.get(item, self.all)


def targets() -> Targets:
    """One query."""
    last = dict(Target.objects.order_by("id").values_list("item", "margin"))
    own = {pk: margin for pk, margin in last.items() if pk and margin is not None}
    return Targets(last.get(None), own)


@dataclass(frozen=True, slots=True)
class SoldAlready:
    """What left under the name of a channel: pieces, and the mean of their prices."""

    pieces: Decimal
    mean: Decimal | None


def sold_under(name: str) -> SoldAlready | None:
    """Sales whose channel or customer is called so; None where there are none."""
    lines = SaleLine.objects.standing().filter(lot__item__unit=Item.Unit.PIECE)
    named = Sale.objects.filter(channel=name) | Sale.objects.filter(customer__name=name)
    rows = list(as_now(lines.filter(sale__in=named)))
    if not rows:
        return None
    priced = [row for row in rows if row.unit_price is not None]
    pieces = sum((row.amount for row in priced), Decimal(0))
    paid = sum((row.amount * row.unit_price for row in priced), Decimal(0))
    return SoldAlready(
        sum((row.amount for row in rows), Decimal(0)), paid / pieces if pieces else None
    )


def known_names() -> list[str]:
    """Where was sold already: channels of sales, and customers."""
    said = Sale.objects.exclude(channel="").values_list("channel", flat=True)
    names = {*said.distinct(), *Customer.objects.values_list("name", flat=True)}
    taken = set(Channel.objects.values_list("name", flat=True))
    return sorted(names - taken, key=str.casefold)
