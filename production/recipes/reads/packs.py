"""The packs that stand open at the bench, and what stands on the shelf."""

from collections.abc import Iterable
from datetime import date

from django.db.models import Q

from production.fitness.reads.stock import candidates
from production.recipes.domain.scaling.stock_view import StockView
from production.stock.models.lots import Lot, OpenPack, Status
from production.workshop.models.items import Item


def open_packs(on: date, items: Iterable[Item | int] | None = None) -> dict[int, Lot]:
    """The pack in force of each of these items, by its key; with ``on_hand``.

    The latest one opened by then that still has something in it and may be used.
    """
    lots = Lot.objects.to_go_on().filter(
        Q(expires__isnull=True) | Q(expires__gte=on), status=Status.Word.RELEASED
    )
    opened = OpenPack.objects.filter(deed__on__lte=on, lot__in=lots.values("pk"))
    if items is not None:
        opened = opened.filter(lot__item__in=list(items))
    order = opened.order_by("-deed__on", "-id").values_list("lot_id", flat=True)
    usable = lots.select_related("item", "deed", "batch").in_bulk(set(order))
    found: dict[int, Lot] = {}
    for pk in order:
        found.setdefault(usable[pk].item_id, usable[pk])
    return found


def open_pack(item: Item, on: date) -> Lot | None:
    """The pack of one item that stands open."""
    return open_packs(on, [item]).get(item.pk)


def stock_view_of(items: Iterable[Item | int], on: date) -> StockView:
    """What is released and in date on one day, with the packs that stand open."""
    lots = candidates(items, on)
    return StockView(
        lots, {item: lot.code for item, lot in open_packs(on, lots).items()}
    )
