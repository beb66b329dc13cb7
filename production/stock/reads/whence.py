"""Where a sale is taken from: what stands where, and what a channel took last."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from decimal import Decimal

from production.quantities.domain.numbers import plain
from production.selling.models import Customer, Sale
from production.stock.models.kept import Stock
from production.stock.models.ledger import Lot, Movement
from production.workshop.models.workshop import Place

SOLD = Movement.Kind.SOLD
Stand = tuple[Place, Decimal]


def stands_of(lot: Lot, *, apart: bool = False) -> list[Stand]:
    """Where a lot stands that may go on, and how much is there; ``apart``: and where
    of it came back."""
    return _stands([lot], apart)[lot.pk]


def _stands(lots: Iterable[Lot], apart: bool) -> dict[int, list[Stand]]:
    found: dict[int, list[Stand]] = {lot.pk: [] for lot in lots}
    rows = Stock.objects.filter(lot__in=list(found), amount__gt=0)
    rows = rows.filter(place__apart__in={False, apart}).select_related("place")
    for row in rows.order_by("place__name"):
        found[row.lot_id].append((row.place, row.amount))
    return found


def standing_places(lots: Iterable[Lot]) -> dict[int, Place | None]:
    """The one place where each lot stands, by its key; None where there are more.

    What came back stands apart: it is taken from there only where all of it does.
    """
    found: dict[int, Place | None] = {}
    for lot, stands in _stands(lots, apart=True).items():
        places = [place for place, _ in stands]
        free = [place for place in places if not place.apart] or places
        found[lot] = free[0] if len(free) == 1 else None
    return found


def in_words(stands: Iterable[Stand], unit: str) -> str:
    """``12 pieces at the crate, 3 at the workshop``; the unit is said once."""
    first, *others = [(f"{place}", plain(amount)) for place, amount in stands]
    word = "g" if unit == "g" else "pieces"
    said = [f"{first[1]} {word} at {first[0]}"]
    return ", ".join([*said, *(f"{amount} at {place}" for place, amount in others)])


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
