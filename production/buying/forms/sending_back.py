"""Goods that go back to their supplier, and what he credits."""

from decimal import Decimal

from django import forms

from production.pages.forms.deed import DeedForm
from production.pages.forms.fields import AmountField, MoneyField
from production.stock.forms.lots import PlacedForm

CREDIT = (
    "In your own money, without the tax. Left empty while the credit note is to come."
)


def _note():
    return forms.CharField(
        label="Number of the credit note", max_length=60, required=False
    )


def _tax():
    return MoneyField(
        label="Tax on it, that you had got back",
        required=False,
        help_text="It goes to the authority again.",
    )


class SendBackForm(PlacedForm):
    from_apart = False
    amount = AmountField(label="How much")
    credit = MoneyField(label="What is credited", required=False, help_text=CREDIT)
    recoverable_tax = _tax()
    note = _note()
    folded = ("recoverable_tax", "note")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["on"].label = "Sent back on"


class CreditForm(DeedForm):
    credit = MoneyField(
        label="What is credited",
        help_text="In your own money, without the tax; 0 where nothing is.",
    )
    recoverable_tax = _tax()
    note = _note()

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["on"].label = "Date of the credit note"

    def arguments(self):
        given = super().arguments()
        return {"recoverable_tax": Decimal(0), **given}
