"""Empties that come back, and what is seen of them."""

from decimal import Decimal

from django import forms

from production.pages.forms.deed import DeedForm
from production.pages.forms.fields import (
    AmountField,
    Choice,
    CodeField,
    MoneyField,
    parse_amount,
)
from production.selling.models import Customer
from production.stock.forms.lots import LotForm
from production.stock.forms.places import places_to_put
from production.workshop.models.items import Item


class EmptiesForm(DeedForm):
    folded = ("value", "code", "place")
    customer = Choice(Customer.objects.all(), required=False)
    channel = forms.CharField(
        label="Or sold at",
        required=False,
        max_length=80,
        help_text="Where nobody gave a name: the stall or shop that took the deposit.",
    )
    item = Choice(
        Item.objects.filter(kind=Item.Kind.PACKAGING, unit=Item.Unit.PIECE),
        label="What came back",
        empty_label="choose",
        help_text="The bottle as it is bought, empty.",
    )
    amount = AmountField(label="How many")
    deposit = MoneyField(
        label="Deposit paid back for one",
        of="one",
        error_messages={"required": "Write what was paid back: 0 where nothing was."},
    )
    value = MoneyField(
        label="They are worth in all",
        required=False,
        help_text="Left empty: nothing, since nothing was paid for them.",
    )
    code = CodeField(label="Own code of the lot")
    place = Choice(places_to_put(), label="Put into", required=False)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["on"].label = "Came back on"

    def clean(self):
        facts = super().clean()
        parse_amount(self, "amount", facts.get("item"))
        return facts

    def arguments(self):
        given = super().arguments()
        return {**given, "amount": given["amount"].grams_or_pieces}


class WashedForm(LotForm):
    broken = AmountField(
        label="Broken, or not clean",
        required=False,
        zero=True,
        help_text="They are thrown away: say what was wrong with them. The others may "
        "be filled again.",
    )

    def arguments(self):
        given = super().arguments()
        broken = given.get("broken")
        return {**given, "broken": broken or Decimal(0)}
