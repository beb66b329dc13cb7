"""A cook cannot boil off more water than it had."""

from production.contents.reads.contents import contents_of
from production.quantities.domain.numbers import grams, plain
from production.quantities.domain.refusal import Refused
from production.record.domain.text import PAST
from production.record.models.ink import Deed
from production.stock.domain.balance import BAND
from production.stock.models.batches import Batch, Stage
from production.stock.models.lots import Lot
from production.workshop.reads.roles import role_of


def refuse_more_steam_than_water(deed: Deed, batch: Batch, lot: Lot) -> None:
    """Water weighed in, in the alkali, and formed: all of it there is to boil off.

    Judged where the pot holds an alkali and all that went in is known, beyond what the
    balance may miss. A past that was moved in is taken as it was.
    """
    if batch.stage != Stage.COOK or deed.key.startswith(PAST):
        return
    used = batch.movements.used()
    rows = list(used.select_related("lot__item"))
    if not any(row.lot.item.is_alkali for row in rows):
        return
    weighed = -sum(row.amount for row in rows)
    water = -sum(row.amount for row in rows if role_of(row.lot.item) == "water")
    made = lot.movements.made().first()
    if made is not None and weighed - made.amount <= water:
        return  # the water that was weighed in explains it all
    short = contents_of(lot).short_of_water
    if short and short > BAND * weighed:
        raise Refused(
            f"{batch} would have boiled off {plain(grams(short))} g more than all its "
            "water: what was weighed in, what the alkali held and what was formed. "
            "Weigh the paste again, name what was lost otherwise, or enter the water "
            "that is missing."
        )
