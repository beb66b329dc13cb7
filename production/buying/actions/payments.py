"""Money leaves for a purchase and its bills."""

from decimal import Decimal

from production.buying.models import BillPaid, Purchase
from production.buying.reads.owed import owed_of
from production.quantities.domain.refusal import Doubted, Refused
from production.record.actions.deeds import deed, written
from production.record.models.ink import Deed
from production.record.reads.sums import in_money


@deed("pay a bill", gives=BillPaid)
def pay_bill(
    deed: Deed,
    *,
    purchase: Purchase,
    amount: Decimal | None = None,
    settles: bool = False,
    sure: bool = False,
) -> BillPaid:
    """Note that a purchase was paid on this day, in full or in part, in own money.

    Without an ``amount`` all that is still owed. Below zero money came back.
    ``settles``: nothing more is owed, as after a discount or at another rate.
    ``sure``: a sum beyond what is owed was read again.
    """
    if not Purchase.objects.standing().filter(pk=purchase.pk).exists():
        raise Refused(f"{purchase} was taken back: nothing is owed for it.")
    [now] = owed_of([purchase])
    if amount is None:
        amount = now.left
    if amount is None:
        raise Refused(f"A line of {purchase} has no price: write how much was paid.")
    if amount == 0:
        raise Refused(
            f"Nothing of {purchase} is owed: it is paid."
            if now.left == 0
            else "Write how much was paid."
        )
    if now.left is not None and amount > now.left and not sure:
        raise Doubted(
            f"{in_money(now.left)} owed for {purchase}, and {in_money(amount)} "
            "typed: read it again, or tick this."
        )
    paid = BillPaid(deed=deed, purchase=purchase, amount=amount, settles=settles)
    return written(paid)
