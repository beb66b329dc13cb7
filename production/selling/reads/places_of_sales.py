"""Where a sale is taken from, and what a channel took last."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from decimal import Decimal

from production.selling.models import Customer, Sale
from production.stock.models.lots import Movement
from production.stock.reads.places_of_lots import Stand
from production.workshop.models.places import Place

SOLD = Movement.Kind.SOLD


def last_place_of(channel: str) -> Place | None:
    """Where the last standing sale through that channel was taken from."""
    if not channel.strip():
        return None
    rows = Movement.objects.standing().filter(
        kind=SOLD, sale_line__sale__channel__iexact=channel.strip()
    )
    last = rows.select_related("place").order_by("-pk").first()
    return last.place if last else None


def meant(stands: Sequence[Stand], amount: Decimal, last: Place | None) -> Place | None:
    """The place that needs no question: the only one, or the channel's own.

    None where somebody has to say it.
    """
    if len(stands) == 1:
        return stands[0][0]
    enough = [place for place, held in stands if held >= amount]
    return last if last in enough else None


def proposed(
    stands: Sequence[Stand], last: Place | None, home: Place, customer: Customer | None
) -> Place:
    """What the question is answered with until somebody says otherwise.

    What the channel took last. A customer's own shop sells what stands there; without a
    customer it is what was carried out to be sold that goes first.
    """
    places = [place for place, _ in stands]
    own = [place for place in places if place.customer_id is not None]
    if customer is not None:
        first = [place for place in own if place.customer_id == customer.pk]
    else:
        first = [last] if last in places else []
        first += [place for place in places if place != home and place not in own]
    return (first or [place for place in places if place == home] or places)[0]


def taken_from(sales: Iterable[Sale | int]) -> dict[int, list[str]]:
    """The places that the lines of each sale were taken from, by its key."""
    keys = [getattr(sale, "pk", sale) for sale in sales]
    rows = Movement.objects.filter(kind=SOLD, sale_line__sale__in=keys)
    found: dict[int, list[str]] = defaultdict(list)
    pairs = rows.order_by("pk").values_list("sale_line__sale", "place__name")
    for sale, place in pairs:
        if place not in found[sale]:
            found[sale].append(place)
    return found
