"""What is asked about a value that is typed of an item."""

from decimal import Decimal

from production.chemistry.domain.doubts import KnownOil, doubt
from production.workshop.models.items import Item


def doubted(item: Item, what: str, value: Decimal | None) -> str:
    """Why this value of a lot of it cannot well be so; "" where it can."""
    if value is None:
        return ""
    oil = item.oil
    known = oil and KnownOil(oil.name, oil.sv_low, oil.sv_high, oil.kind)
    alkali = item.alkali
    if not alkali and item.is_alkali:
        said = item.named_alkali(item.own_inci)
        alkali = said.which if said is not None else ""
    return doubt(what, value, alkali=alkali, oil=known or None)
