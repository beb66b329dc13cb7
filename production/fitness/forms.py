"""The lots that a form may offer to go on."""

from production.fitness.reads.stock import unfit_though_released
from production.pages.forms.deed import MOST_CHOICES
from production.record.reads.clock import today
from production.stock.models.lots import Lot, Status


def released_lots(**facts):
    """The same of what is released, without soap that may not go on."""
    lots = Lot.objects.to_go_on().select_related("item")
    lots = list(lots.filter(status=Status.Word.RELEASED, **facts)[:MOST_CHOICES])
    unfit = unfit_though_released(lots, today())
    return [(lot.code, lot.item.name) for lot in lots if lot.pk not in unfit]
