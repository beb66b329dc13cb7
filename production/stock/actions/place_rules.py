"""Places that are not for everything: what may come there, and what may leave."""

from collections.abc import Iterable
from typing import Protocol

from production.quantities.domain.invisible import refuse_name
from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused
from production.record.domain.text import PAST
from production.record.models.ink import Deed
from production.stock.models.batches import Batch, Stage
from production.stock.models.lots import Lot, Movement
from production.stock.reads.set_apart import standing_apart
from production.workshop.models.places import Place

KIND = Movement.Kind
APART = "returns"
LOOK = "look at a return"
COMES = {KIND.RETURNED, KIND.COUNTED, KIND.REWEIGHED, KIND.REVERSED}
GOES = {KIND.DISCARDED, KIND.GIVEN, KIND.COUNTED, KIND.REWEIGHED, KIND.REVERSED}


class Change(Protocol):
    """An entry that is to be posted."""

    @property
    def lot(self) -> Lot: ...
    @property
    def kind(self) -> str: ...
    @property
    def place(self) -> Place | None: ...
    @property
    def batch(self) -> Batch | None: ...
    @property
    def positive(self) -> bool: ...


def place_apart(name: str = "") -> Place:
    """Where what came back stands; made when the first comes.

    A ``name`` is of a file: its place is one that stands apart, or a new one.
    """
    found = Place.objects.filter(apart=True).order_by("pk")
    if name:
        found = Place.objects.filter(name=name)
    place = found.first()
    if place is None:
        free = [name] if name else [APART, f"{APART}, apart", f"{APART}, to look at"]
        taken = set(Place.objects.filter(name__in=free).values_list("name", flat=True))
        name = next(word for word in free if word not in taken)
        refuse_name("name", name)
        place = Place.objects.create(name=name, apart=True)
    if not place.apart:
        raise Refused(
            f"{place} is no place for what came back: goods are sold from there. "
            "Choose another."
        )
    return place


def may_stand_there(deed: Deed, entries: Iterable[Change]) -> None:
    """Asked of every entry: nothing is made in a customer's shop, and what came back
    is neither let out nor mixed with anything unseen."""
    for entry in entries:
        if entry.place is None:
            continue
        if entry.kind == KIND.MADE and entry.positive and entry.place.customer_id:
            _made_here(deed, entry.lot, entry.place)
        if not entry.place.apart or deed.verb == LOOK:
            continue
        if entry.positive and entry.kind not in COMES:
            raise Refused(
                f"{entry.place} is for what a customer brought back, through its sale. "
                f"Choose another place for {entry.lot}."
            )
        rework = entry.batch is not None and entry.batch.stage == Stage.REWORK
        mends = entry.kind == KIND.USED and rework
        if not (entry.positive or entry.kind in GOES or mends):
            raise Refused(
                f"What stands at {entry.place} came back: it is not "
                f"{_past(entry.kind)} from there. Look at the return first; what is "
                "sealed goes back to the others, the rest is discarded, sampled or "
                "reworked."
            )


def _made_here(deed: Deed, lot: Lot, place: Place) -> None:
    """What is made is carried to a shop, and is judged on its way."""
    if not deed.key.startswith(PAST):
        raise Refused(
            f"{place} is a customer's: {lot} is not made there. Put it in the "
            "workshop, and move it there when it is released."
        )


def _past(kind: str) -> str:
    return {KIND.MOVED: "carried away", KIND.USED: "used"}.get(KIND(kind), kind)


def not_handed_over(lot: Lot, place: Place | None) -> None:
    """A gift is taken from the shelf."""
    if place is not None and place.apart:
        raise Refused(
            f"What stands at {place} of {lot} came back: nobody is given of it. Only a "
            "sample for the bench or a laboratory, without a person's name, is taken "
            "there."
        )


def left_unseen(lots: Iterable[Lot]) -> None:
    """Refuse where more left there than somebody had looked at."""
    lots = list(lots)
    apart = standing_apart([lot.pk for lot in lots])
    for lot in lots:
        if lot.pk in apart and (more := apart[lot.pk].unseen_left):
            raise Refused(
                f"{plain(more)} of {lot} came back and nobody has looked at it yet. "
                "Look at the return first, and write what was seen."
            )
