"""What a lot's card said wrong: which item, how heavy a piece, how long it keeps."""

from datetime import date

from production.batches.actions.balancing import judge_again
from production.contents.reads.contents import origin_role
from production.correcting.actions.putting_right.shape import Change
from production.quantities.domain.invisible import refuse_name
from production.quantities.domain.refusal import Refused
from production.record.actions.people import owner_only
from production.record.actions.restating import follow, restate
from production.record.reads.restated import OF
from production.stock.actions.opening_lots import set_status
from production.stock.models.batches import Batch
from production.stock.models.lots import Lot, Movement, Status
from production.stock.reads.stock import latest_status
from production.workshop.models.items import Item

KIND = Movement.Kind
LEFT = (KIND.USED, KIND.SOLD, KIND.GIVEN)


def judge_lot(change: Change) -> None:
    if "item" in change:
        _judge_item(change.thing, change.now("item"))
    if "supplier_lot" in change:
        refuse_name("supplier's lot", change.now("supplier_lot") or "")
    if "net_mass" in change:
        _judge_mass(change.thing, change.now("net_mass"))
    if "expires" in change:
        _judge_expiry(change)


def _judge_mass(lot: Lot, mass: object) -> None:
    if lot.item.unit != Item.Unit.PIECE:
        raise Refused(f"{lot} is weighed: only a piece has a net mass.")
    if mass is not None and not mass > 0:  # type: ignore[operator]
        raise Refused("The net mass of a piece is above zero, or left open.")


def _judge_item(lot: Lot, item: Item | None) -> None:
    """Only between items that are the same to the pot: nothing gets fit by it."""
    if item is None:
        raise Refused("Choose the item that it really is.")
    if lot.batch_id:
        raise Refused(
            f"{lot} was made here. Take back what {lot.batch} made, and make it again "
            "under its right name."
        )
    if _in_the_pot(lot.item) != _in_the_pot(item):
        raise Refused(
            f"{lot} stands as {lot.item}, and {item} is something else in the pot or "
            "in the count. Take back what was made of it and its arrival, and enter it "
            "again as what it is."
        )
    if item.on_tap or lot.item.on_tap:
        raise Refused("What comes from the tap stays what it is. Take the entry back.")


def _in_the_pot(item: Item) -> tuple[object, ...]:
    """What guards go by; an item of which nobody said what it is equals none."""
    stated = bool(item.category) or item.kind == Item.Kind.PACKAGING
    unsaid = None if stated else item.pk
    role = (item.kind, item.unit, item.category, item.alkali, item.acid)
    return (*role, item.is_alkali, origin_role(item), unsaid)


def _judge_expiry(change: Change) -> None:
    """Put right, not put off: later only where nothing left after the typed day."""
    lot: Lot = change.thing
    before: date | None
    before, now = change.figures["expires"]
    if before is None or (now is not None and now < before):
        return
    owner_only(change.deed.by, "put an expiry later")
    left = lot.movements.standing().filter(kind__in=LEFT, on__gt=before)
    if left.exists():
        first = left.order_by("on")[0]
        raise Refused(
            f"{lot} went on after {before}: {first.kind} on {first.on}. A longer life "
            "is a decision: extend the expiry, with the test that it rests on."
        )


def carry_lot(change: Change) -> None:
    lot: Lot = change.thing
    if "item" in change:
        _carry_item(change, lot)
    if "net_mass" in change:
        weighed = Batch.objects.filter(movements__in=lot.movements.standing())
        for batch in weighed.distinct().order_by("pk"):
            judge_again(change.deed, batch)


def _carry_item(change: Change, lot: Lot) -> None:
    """A line of an invoice is of one item: it and its other lots follow."""
    before, item = change.figures["item"]
    lots = [lot]
    if lot.line_id:
        texts = {"item": (str(before.pk), str(item.pk))}
        restate(change.deed, OF.LINE, lot.line_id, texts)
        for other in Lot.objects.filter(line=lot.line_id).exclude(pk=lot.pk):
            restate(change.deed, OF.LOT, other.pk, texts)
            follow(OF.LOT, other.pk)
            lots.append(other)
    if item.needs_check and not before.needs_check:
        for one in lots:
            _wait_for_its_check(change, one, item)


def _wait_for_its_check(change: Change, lot: Lot, item: Item) -> None:
    if lot.movements.standing().filter(kind__in=LEFT).exists():
        raise Refused(
            f"{item} waits for a check on arrival, and some of {lot} went on without. "
            "Take that back first, or have an owner change the card."
        )
    latest = latest_status(lot)
    if latest is not None and latest.status == Status.Word.RELEASED:
        on = max(change.deed.on, latest.on)
        set_status(change.deed, lot, Status.Word.QUARANTINE, on=on)
