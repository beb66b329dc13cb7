"""Mending the book: nothing is rubbed out, everything is taken back in the open."""

from datetime import date
from decimal import Decimal

from production.batches.actions.balancing import judge_again
from production.fitness.actions.guards import may_go, may_go_in
from production.fitness.domain.reasons import Purpose
from production.fitness.reads.rows import load
from production.lots.actions.lot_deeds import handed_over
from production.quantities.domain.numbers import money
from production.quantities.domain.refusal import Refused
from production.record.actions.deeds import deed
from production.record.actions.people import not_above_oneself, reason_asked
from production.record.domain.text import PAST
from production.record.models.ink import Deed
from production.record.reads.restated import recipient
from production.stock.actions.opening_lots import set_status
from production.stock.actions.posting import Entry, entered_again, mirror, post
from production.stock.models.batches import Batch
from production.stock.models.lots import TAKEN_BACK_WHOLE, Given, Movement, Status
from production.stock.reads.batches import ending

KIND = Movement.Kind
REENTERED = {*TAKEN_BACK_WHOLE, KIND.COUNTED}


@deed("take back an entry", moves_goods=True)
def reverse_movement(deed: Deed, *, movement: Movement) -> None:
    """Mirror one entry in full, on its own date."""
    not_above_oneself(deed.by, movement.deed)
    reason_asked(deed, "taking the entry back")
    _hold_together([movement])
    soap_stays_in([movement])
    drawn = _drawn_for(movement, more=-abs(movement.amount))
    post(deed, [mirror(movement), *drawn])
    made_of_something([movement])
    if movement.batch:
        judge_again(deed, movement.batch)


def _hold_together(movements: list[Movement]) -> None:
    """Goods that came back hang on their sale, and two halves on each other."""
    taken = {movement.pk for movement in movements}
    for movement in movements:
        if movement.kind == KIND.SOLD:
            back = (
                Movement.objects.standing()
                .filter(sale_line=movement.sale_line, kind=KIND.RETURNED)
                .exclude(pk__in=taken)
            )
            if back.exists():
                raise Refused(
                    f"Some of {movement.sale_line} came back. "
                    "Take the return back first."
                )
        if movement.kind in TAKEN_BACK_WHOLE or (
            movement.kind == KIND.DISCARDED and movement.sale_line_id
        ):
            raise Refused(
                "More hangs on this entry than its amount: it is one half of "
                "what was written together. Take it back as a whole instead."
            )


def soap_stays_in(movements: list[Movement]) -> None:
    """What made soap of it is not taken out of what was made, entry by entry."""
    making = {row.batch_id for row in movements if row.kind == KIND.MADE}
    used = [row for row in movements if row.kind == KIND.USED]
    if not used:
        return
    made = Movement.objects.made().filter(batch__in=[row.batch_id for row in used])
    done = set(made.values_list("batch_id", flat=True)) - making
    rows = [row for row in used if row.batch_id in done]
    family = load([row.lot for row in rows]).family(date.max)
    for row in rows:
        code = row.lot.code
        if family.alkaline(code) or family.stops(code) or family.trials(code):
            raise Refused(
                f"{row.lot} went into {row.batch}, which has made its lot. Correct how "
                "much of it went in; or take back what was made first, and then this."
            )


def made_of_something(movements: list[Movement]) -> None:
    """A batch that is done keeps at least one lot that went in."""
    for batch in {row.batch for row in movements if row.kind == KIND.USED}:
        left = set(batch.movements.standing().values_list("kind", flat=True))
        if KIND.USED not in left and ending(batch):
            raise Refused(
                f"{batch} was lost with what went in. Take that back first: on its "
                "page, under what became of it."
            )
        if KIND.MADE in left and KIND.USED not in left:
            raise Refused(
                f"{batch} would have been made of nothing. "
                "Take back what it made first."
            )


def _drawn_for(
    movement: Movement, *, more: Decimal, on: date | None = None
) -> list[Entry]:
    """Nobody keeps tap water: what was drawn follows what was used of it."""
    if movement.kind != KIND.USED or not movement.lot.item.on_tap:
        return []
    drawn = Movement.objects.standing().filter(lot=movement.lot, kind=KIND.RECEIVED)
    row = drawn.select_related("lot__item", "place").first()
    if row is None or row.amount + more < 0:
        return []
    if not row.amount + more:
        return [mirror(row)]
    amount = row.amount + more
    value = None if row.value is None else money(row.value * amount / row.amount)
    again = entered_again(row, amount=amount, value=value, on=on or row.on, typed="")
    return [mirror(row), again]


@deed("correct an entry", moves_goods=True)
def correct_movement(
    deed: Deed, *, movement: Movement, amount: Decimal, moved_to: date | None = None
) -> None:
    """Take an entry back and enter it anew, judged on the net.

    The new entry keeps its place in the book's order; ``amount`` is written without
    a sign, as it was typed the first time.
    """
    not_above_oneself(deed.by, movement.deed)
    reason_asked(deed, "the correction")
    if amount <= 0:
        raise Refused("Write the right amount, above zero; or take the entry back.")
    if movement.kind in REENTERED:
        raise Refused("Take it back as a whole and do it again instead.")
    if movement.sale_line_id:
        raise Refused(
            "Take the sale back and enter it again, so that its paper agrees."
        )
    _let_go(deed, movement, amount, moved_to)
    again = entered_again(
        movement,
        amount=amount if movement.amount > 0 else -amount,
        on=moved_to or movement.on,
        typed="",
    )
    drawn = _drawn_for(movement, more=amount - abs(movement.amount), on=moved_to)
    post(deed, [mirror(movement), again, *drawn])
    if movement.batch:
        judge_again(deed, movement.batch)
    if movement.batch_id and moved_to:
        _uses_come_first(movement.batch)
        if movement.kind == KIND.USED:
            may_go_in(deed, movement.batch, [movement.lot], on=moved_to)
    first = movement.lot.statuses.first()
    if moved_to and movement.kind in Movement.STARTS and first and moved_to < first.on:
        # It was there earlier than the book said, and in the same state.
        set_status(deed, movement.lot, first.status, on=moved_to)


def _let_go(
    deed: Deed, movement: Movement, amount: Decimal, moved_to: date | None
) -> None:
    """More is given than was written, or on another day: it is asked about like a
    gift. Less may always be written."""
    line = movement.root or movement
    given = Given.objects.filter(movement=line).first()
    who = Movement.objects.annotate(who=recipient()).get(pk=movement.pk).who
    if given is None or not handed_over(given.why, who or ""):
        return
    if amount > abs(movement.amount) or (moved_to and moved_to != movement.on):
        past = line.deed.key.startswith(PAST)
        on = moved_to or movement.on
        may_go(deed, [movement.lot], Purpose.GIFT, on=on, past=past)


def _uses_come_first(batch: Batch) -> None:
    """Packaging that was added to a filled lot came later, until the release."""
    made = batch.movements.made().first()
    if made is None:
        return
    order = made.rank or made.pk
    statuses = made.lot.statuses.filter(status=Status.Word.RELEASED)
    released = statuses.values_list("on", flat=True).first()
    for row in batch.movements.used().filter(on__gt=made.on):
        if (row.rank or row.pk) < order:
            raise Refused(
                f"{batch} would use a lot after it was done. Correct both dates."
            )
        if released and row.on > released:
            raise Refused(
                f"{made.lot} was released on {released}: {row.lot} was on it by then."
            )
