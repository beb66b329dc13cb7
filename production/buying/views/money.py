"""What is paid for purchases, and what goes back to suppliers."""

from django.shortcuts import get_object_or_404

from production.buying.actions.payments import pay_bill
from production.buying.actions.sending_back import note_credit, send_back
from production.buying.forms.sending_back import CreditForm, SendBackForm
from production.buying.models import Purchase, SentBack
from production.buying.reads.owed import owed_of
from production.pages.forms.payments import PaidForm
from production.pages.views.pages import write_page
from production.quantities.domain.numbers import plain
from production.record.reads.sums import in_money
from production.stock.views.lots import the_lot


def pay(request, pk):
    rows = Purchase.objects.standing().select_related("supplier")
    found = get_object_or_404(rows, pk=pk)
    [now] = owed_of([found])
    return write_page(
        request,
        PaidForm(request.POST or None),
        pay_bill,
        extra={"purchase": found},
        title=f"Note a payment of {found}",
        about=f"{found.supplier}",
        says=_stands(now),
        button="Note it",
        done=lambda paid: f"{in_money(paid.amount)} noted as paid.",
        to=found,
    )


def _stands(now):
    if now.owed is None:
        return "A price of it is not known yet, so nobody knows what is owed."
    owed, paid = in_money(now.owed), in_money(now.paid)
    return (
        f"It comes to {owed} with its tax and extra costs, in your own money; {paid} "
        "noted as paid."
    )


def send(request, code):
    lot = the_lot(code)
    return write_page(
        request,
        SendBackForm(request.POST or None, lot=lot),
        send_back,
        extra={"lot": lot},
        title=f"Send some of {lot} back",
        about=f"{lot.item}",
        says="To its supplier. It leaves the stock at what it cost; it is no loss, and "
        "what he credits for it is written beside it.",
        button="Send it back",
        done=lambda sent: f"{sent} is in the book.",
        to=lot,
    )


def credit(request, pk):
    rows = SentBack.objects.select_related("movement__lot__item", "deed")
    sent = get_object_or_404(rows, pk=pk)
    lot = sent.movement.lot
    return write_page(
        request,
        CreditForm(request.POST or None),
        note_credit,
        extra={"sent": sent},
        title=f"Note the credit for {lot}",
        about=f"{lot.item}",
        says=f"{plain(-sent.movement.amount)} {_unit(lot)} went back on "
        f"{sent.movement.on}. What is written last counts.",
        button="Note it",
        done="The credit is in the book.",
        to=lot,
    )


def _unit(lot):
    return "g" if lot.item.unit == "g" else "pieces"
