"""The pack that stands open at the bench."""

from production.fitness.actions.guards import may_go
from production.fitness.domain.reasons import Purpose
from production.quantities.domain.refusal import Refused
from production.record.actions.deeds import deed
from production.record.models.ink import Deed
from production.stock.models.lots import Lot, OpenPack


@deed("open a pack", moves_nothing=True, gives=OpenPack)
def open_pack(deed: Deed, *, lot: Lot) -> OpenPack:
    """Say that this pack stands at the bench: forms take from it without asking.

    Never an alkali: its code is read off the tub each time.
    """
    if lot.item.is_alkali:
        raise Refused(
            f"{lot} is {lot.item}. An alkali never stands open: its code is read off "
            "the tub each time, and its name looked at twice."
        )
    may_go(deed, [lot], Purpose.USE)
    if Lot.objects.with_on_hand().get(pk=lot.pk).on_hand <= 0:
        raise Refused(f"Nothing is left of {lot}. Open another pack.")
    return OpenPack.objects.create(deed=deed, lot=lot)


@deed("record an open pack", moves_nothing=True, gives=OpenPack)
def record_open_pack(deed: Deed, *, lot: Lot) -> OpenPack:
    """Take over which pack an earlier book had open."""
    return OpenPack.objects.create(deed=deed, lot=lot)
