"""Money comes in for a sale."""

from decimal import Decimal

from production.quantities.domain.refusal import Doubted, Refused
from production.record.actions.deeds import deed, written
from production.record.models.ink import Deed
from production.record.reads.sums import in_money
from production.selling.models import Sale, SalePaid
from production.selling.reads.payments import paid_of


@deed("take in a payment", gives=SalePaid)
def pay_sale(
    deed: Deed,
    *,
    sale: Sale,
    amount: Decimal | None = None,
    settles: bool = False,
    sure: bool = False,
) -> SalePaid:
    """Note that a sale was paid on this day, in full or in part.

    Without an ``amount`` all that is still to come. Below zero money went back.
    ``settles``: nothing more is expected. ``sure``: a sum beyond what is to come was
    read again.
    """
    if not Sale.objects.standing().filter(pk=sale.pk).exists():
        raise Refused(f"{sale} was taken back: nothing is to be paid for it.")
    [now] = paid_of([sale])
    if amount is None:
        amount = now.left
    if amount is None:
        raise Refused(f"A line of {sale} has no price: write how much was paid.")
    if amount == 0:
        raise Refused(
            f"Nothing of {sale} is to come: it is paid."
            if now.left == 0
            else "Write how much was paid."
        )
    if now.left is not None and amount > now.left and not sure:
        raise Doubted(
            f"{in_money(now.left)} of {sale} to come, and {in_money(amount)} typed: "
            "read it again, or tick this."
        )
    return written(SalePaid(deed=deed, sale=sale, amount=amount, settles=settles))


def pay_at_once(deed: Deed, sale: Sale) -> None:
    """Paid in the act of selling: over the counter, at the stall."""
    [now] = paid_of([sale])
    if now.left is None:
        raise Refused("A sale that is paid has its prices: write the price of each.")
    if now.left:
        written(SalePaid(deed=deed, sale=sale, amount=now.left))
