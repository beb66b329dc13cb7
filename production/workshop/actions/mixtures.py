"""An item that is several things on a label: its names, each with its share."""

from collections.abc import Mapping
from decimal import Decimal

from django.db import transaction

from production.chemistry.domain.alkali_names import strong_alkali
from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused
from production.record.actions.deeds import lock_book, written
from production.workshop.models.items import Item, MixturePart
from production.workshop.reads.roles import role_of

WHOLE = Decimal(1)


@transaction.atomic
def write_mixture(*, item: Item, parts: Mapping[str, Decimal]) -> Item:
    """Write the names of an item and their mass fractions; none makes it one thing.

    Refused where they are not the whole, where one stands alone or twice, and for an
    alkali: that counts by the strength of its lot.
    """
    lock_book()
    named = _named(parts)
    if named and role_of(item) in ("alkali", "water"):
        raise Refused(
            f"{item} is {role_of(item)}: it needs no shares here. A lye counts by the "
            "purity of each lot, the rest of it is water."
        )
    if named and item.kind == Item.Kind.PACKAGING:
        raise Refused(f"{item} is packaging: it stands on no list of ingredients.")
    _refuse_hidden_alkali(item, named)
    MixturePart.objects.filter(item=item).delete()
    for inci, share in named.items():
        written(MixturePart(item=item, inci=inci, share=share))
    return item


def _refuse_hidden_alkali(item: Item, named: Mapping[str, Decimal]) -> None:
    """What burns is known by its card; a name among others would not tell it."""
    if item.category == Item.Category.SOAP:
        return
    for inci in named:
        if strong_alkali(inci) is not None:
            raise Refused(
                f"{inci} is a strong alkali: give {item} the category alkali on its "
                "card, and write the strength on each of its lots."
            )


def _named(parts: Mapping[str, Decimal]) -> dict[str, Decimal]:
    found: dict[str, Decimal] = {}
    seen: set[str] = set()
    for typed, share in parts.items():
        name = " ".join(typed.split())
        if not name:
            raise Refused("Write the name of each part, or leave its row empty.")
        if name.casefold() in seen:
            raise Refused(
                f"{name} is written twice. Keep one row with its whole share."
            )
        seen.add(name.casefold())
        if not 0 < share < WHOLE:
            raise Refused(
                f"{name} at {plain(share * 100)} % is no part: write a share between "
                "0 and 100 %. What is one thing has a label name on its card instead."
            )
        found[name] = share
    whole = sum(found.values(), Decimal(0))
    if found and whole != WHOLE:
        raise Refused(
            f"The shares add up to {plain(whole * 100)} %, not to 100 %. Ask the "
            "supplier for the rest; water is written as Aqua."
        )
    return found
