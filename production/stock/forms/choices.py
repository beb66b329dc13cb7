"""The lots that a form offers."""

from production.pages.forms.deed import MOST_CHOICES
from production.stock.models.lots import Lot
from production.workshop.models.items import Item


def lots_to_choose(**facts):
    """Codes and names of what is on hand, for the list under a text box."""
    lots = Lot.objects.in_stock().select_related("item").filter(**facts)
    lots = lots[:MOST_CHOICES]
    return [(lot.code, f"{lot.item.name}") for lot in lots]


def taps():
    return [
        (name, "on tap")
        for name in Item.objects.filter(on_tap=True).values_list("name", flat=True)
    ]
