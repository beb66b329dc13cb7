"""Goods go back to their supplier, and he credits them."""

from decimal import Decimal

from production.buying.models import SentBack, SupplierCredit
from production.quantities.domain.refusal import Refused
from production.record.actions.deeds import deed, written
from production.record.models.ink import Deed
from production.stock.actions.posting import Entry, post
from production.stock.models.lots import Lot, Movement
from production.workshop.models.places import Place

KIND = Movement.Kind


@deed("send goods back", moves_goods=True, gives=SentBack)
def send_back(
    deed: Deed,
    *,
    lot: Lot,
    amount: Decimal,
    credit: Decimal | None = None,
    recoverable_tax: Decimal = Decimal(0),
    note: str = "",
    place: Place | None = None,
) -> SentBack:
    """Send some of a lot back to its supplier; it leaves at what it cost.

    ``credit`` is what he gives back for it, in the workshop's own money and without the
    tax that goes back with it; None while his credit note is to come. Any status may
    be sent back: what is not fine above all.
    """
    if lot.batch_id is not None:
        raise Refused(f"{lot} was made here: only what was bought is sent back.")
    if amount <= 0:
        raise Refused("Write how much was sent back.")
    entry = Entry(lot=lot, amount=-amount, kind=KIND.SENT_BACK, on=deed.on, place=place)
    [movement] = post(deed, [entry])
    sent = written(SentBack(deed=deed, movement=movement))
    if credit is not None:
        _credit(deed, sent, credit, recoverable_tax, note)
    elif recoverable_tax or note.strip():
        raise Refused("Write what he credits, or leave his note for later.")
    return sent


@deed("note a credit", gives=SupplierCredit)
def note_credit(
    deed: Deed,
    *,
    sent: SentBack,
    credit: Decimal,
    recoverable_tax: Decimal = Decimal(0),
    note: str = "",
) -> SupplierCredit:
    """What a supplier credits for what he got back; the latest word counts."""
    entry = standing_entry(sent)
    if entry is None:
        raise Refused(f"{sent}: that was taken back, and nothing is credited for it.")
    if deed.on < entry.on:
        raise Refused(f"It was sent back on {entry.on}: the credit came later.")
    return _credit(deed, sent, credit, recoverable_tax, note)


def standing_entry(sent: SentBack) -> Movement | None:
    """Its entry as it stands, or as it was entered anew."""
    first = sent.movement
    rows = Movement.objects.standing()
    return (rows.filter(pk=first.pk) | rows.filter(root=first)).first()


def _credit(
    deed: Deed, sent: SentBack, credit: Decimal, tax: Decimal, note: str
) -> SupplierCredit:
    if credit < 0 or tax < 0:
        raise Refused("A credit is written without a minus.")
    row = SupplierCredit(
        deed=deed,
        sent=sent,
        note=note.strip(),
        credit=credit,
        recoverable_tax=tax,
    )
    return written(row)
