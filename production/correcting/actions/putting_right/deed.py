"""Put a figure right: what stood stays in the book, and the right one counts."""

from collections.abc import Callable, Mapping
from copy import copy
from datetime import date
from typing import Any

from django.db import models

from production.correcting.actions.putting_right import (
    batches,
    buying,
    lots,
    readings,
    sales,
)
from production.correcting.actions.putting_right.shape import Change, Figures
from production.quantities.domain.refusal import Refused
from production.record.actions.deeds import deed
from production.record.actions.people import not_above_oneself, reason_asked
from production.record.actions.restating import follow, restate
from production.record.models.ink import Deed, Restated
from production.record.reads.restated import OF, THINGS, as_now, first_key, in_text

GUARDS: Mapping[str, Callable[[Change], None]] = {
    OF.PURCHASE: buying.judge_purchase,
    OF.LINE: buying.judge_line,
    OF.EXTRA_COST: buying.judge_extra,
    OF.ENTRY: buying.judge_value,
    OF.LOT: lots.judge_lot,
    OF.BATCH: batches.judge_batch,
    OF.WORK: batches.judge_work,
    OF.LOSS: batches.judge_loss,
    OF.SALE: sales.judge_sale,
    OF.SALE_LINE: sales.judge_line,
    OF.GIVEN: sales.judge_given,
    OF.READING: readings.judge_reading,
}
# What else a figure moves in the book, in the same deed.
AFTER: Mapping[str, Callable[[Change], None]] = {
    OF.PURCHASE: buying.carry_purchase,
    OF.LOT: lots.carry_lot,
    OF.LOSS: batches.carry_loss,
    OF.SALE: sales.carry_sale,
}


@deed("put a figure right")
def put_right(
    deed: Deed,
    *,
    of: str,
    row: int,
    figures: Mapping[str, Any],
    confirmed: bool = False,
) -> None:
    """Say what typed figures of one thing really are, and why.

    ``of`` and ``row`` name the thing (see ``THINGS``), ``figures`` are
    its fields as they should have been; what stands so already is left alone.
    ``confirmed``: whoever typed them has the paper in hand that says so.
    """
    reason_asked(deed, "putting a figure right")
    if "code" in figures:
        raise Refused(
            "A code is no figure. Its page says whether it may be given anew."
        )
    thing = _thing(of, row)
    named = dict(figures)
    its_price = buying.PRICES if of == OF.LINE else ()
    prices = {name: named.pop(name) for name in its_price if name in named}
    change = Change(deed, of, thing, _changed(of, thing, named), confirmed)
    priced = of == OF.LINE and buying.price_anew(change, prices)
    if not change.figures and not priced:
        raise Refused("It stands so already: nothing was changed.")
    not_above_oneself(deed.by, *_signed(change))
    if not change.figures:
        return
    _no_day_to_come(change)
    GUARDS[of](change)
    key = first_key(thing)
    if not THINGS[of].header:
        _ensure_valid(change)
    texts = {
        name: (in_text(before), in_text(value))
        for name, (before, value) in change.figures.items()
    }
    restate(deed, of, key, texts)
    follow(of, key)
    if of in AFTER:
        AFTER[of](change)


def _thing(of: str, row: int) -> models.Model:
    """The row as it stands now."""
    if of not in THINGS:
        raise Refused(f"{of} is nothing of which a figure is put right.")
    rows = THINGS[of].model._default_manager.filter(pk=row)
    found = list(rows) if THINGS[of].header else as_now(rows)
    if not found:
        raise Refused("It is not in the book. Open its page again.")
    return found[0]


def _changed(of: str, thing: models.Model, figures: Mapping[str, Any]) -> Figures:
    unknown = set(figures) - set(THINGS[of].figures)
    if unknown:
        raise Refused(f"{', '.join(sorted(unknown))}: not put right in this way.")
    pairs = {name: (getattr(thing, name), value) for name, value in figures.items()}
    return {name: pair for name, pair in pairs.items() if pair[0] != pair[1]}


def _signed(change: Change) -> list[Deed]:
    """The deeds that wrote what is changed."""
    said = Restated.objects.standing().filter(
        of=change.of, row=first_key(change.thing), field__in=change.figures
    )
    return [change.thing.deed, *(row.deed for row in said.select_related("deed__by"))]


def _no_day_to_come(change: Change) -> None:
    """The book holds what has happened; only what expires lies ahead."""
    for name, (_, value) in change.figures.items():
        if name != "expires" and isinstance(value, date) and value > change.deed.on:
            raise Refused(
                f"{value} lies after {change.deed.on}, the day of this entry. Choose "
                "the day on which it happened."
            )


def _ensure_valid(change: Change) -> None:
    """A row in ink as it will be read: only what is put right is asked about."""
    after, said = copy(change.thing), set()
    for name, (_, value) in change.figures.items():
        setattr(after, name, value)
        if value is not None or not after._meta.get_field(name).null:
            said.add(name)
    others = {field.name for field in after._meta.fields} - said
    after.full_clean(exclude=others, validate_unique=False)
