"""Cards of places."""

from typing import Any

from django.db import transaction

from production.fitness.domain.reasons import Purpose, fit_for
from production.fitness.reads.rows import load
from production.quantities.domain.refusal import Refused
from production.record.actions.cards import change_card, save_card
from production.record.reads.clock import today
from production.selling.models import Customer
from production.stock.models.counts import Stock
from production.stock.models.lots import Lot
from production.workshop.models.places import Place


@transaction.atomic
def add_place(*, name: str, customer: Customer | None = None) -> Place:
    return save_card(Place(name=name, customer=customer))


@transaction.atomic
def change_place(*, place: Place, **facts: Any) -> Place:
    """Rename it, or say whose shop it is: what stands there is then out of hand."""
    if facts.get("customer") and facts["customer"] != place.customer:
        if place.apart:
            raise Refused(f"{place} is for what came back: it is nobody's shop.")
        _may_stand_there(place)
    return change_card(place, facts)


def _may_stand_there(place: Place) -> None:
    left = Stock.objects.filter(place=place, amount__gt=0)
    lots = list(Lot.objects.filter(pk__in=left.values("lot")))
    family = load(lots).family(today())
    for lot in lots:
        if reasons := fit_for(family, lot.code, Purpose.MOVE).reasons:
            raise Refused(
                f"{reasons[0].says} Carry it back from {place} before that is a "
                "customer's."
            )
