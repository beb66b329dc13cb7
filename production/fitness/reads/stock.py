"""Lots that are fit to go on, in the order in which they are proposed."""

from collections.abc import Iterable
from datetime import date

from django.db.models import F, Q

from production.fitness.domain.reasons import Purpose, fit_for
from production.fitness.reads.rows import load
from production.stock.domain.ledger import Candidate
from production.stock.models.lots import Lot, Status
from production.workshop.models.items import Item


def candidates(items: Iterable[Item | int], on: date) -> dict[int, list[Candidate]]:
    """Released lots with something on hand, to propose from, by the key of the item.

    Soap is proposed only while it may be used: a failed paste is not offered.
    """
    keys = [item if isinstance(item, int) else item.pk for item in items]
    lots = (
        Lot.objects.filter(item__in=keys)
        .to_go_on()
        .filter(status=Status.Word.RELEASED)
        .filter(Q(expires__isnull=True) | Q(expires__gte=on))
        .select_related("item")
        .annotate(arrived=F("deed__on"))
    )
    found: dict[int, list[Candidate]] = {key: [] for key in keys}
    unfit = _unfit([lot for lot in lots if lot.item.kind == Item.Kind.MADE], on)
    for lot in lots:
        if lot.pk in unfit:
            continue
        found[lot.item_id].append(
            Candidate(lot.code, lot.on_hand, lot.expires, lot.arrived)
        )
    return found


def _unfit(lots: list[Lot], on: date) -> set[int]:
    if not lots:
        return set()
    family = load(lots).family(on)
    return {lot.pk for lot in lots if not fit_for(family, lot.code, Purpose.USE).fit}


def unfit_though_released(lots: Iterable[Lot], on: date) -> set[int]:
    """Keys of lots whose word is released, and which may not be used or sold all the
    same; ``lots`` come with their items and statuses."""
    free = [lot for lot in lots if lot.status == Status.Word.RELEASED]
    made = [lot for lot in free if lot.item.kind == Item.Kind.MADE]
    return _unfit(made, on)
