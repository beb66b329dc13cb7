"""Bottles leave, and some come back."""

from django import forms

from production import actions
from production.forms.deed import DeedForm, RowForm, released_lots
from production.forms.fields import (
    AmountField,
    Choice,
    LotField,
    MoneyField,
    understand,
)
from production.forms.lots import Override
from production.forms.places import standing_place
from production.models import Customer, Item, Place, Return


class SaleLineForm(RowForm):
    tells = ("lot", "amount")
    lot = LotField(label="Batch no.")
    amount = AmountField(label="How many")
    unit_price = MoneyField(label="Price of one", required=False)

    def clean(self):
        facts = super().clean()
        if lot := facts.get("lot"):
            understand(self, "amount", lot.item)
        return facts

    def new_line(self, place):
        facts = self.cleaned_data
        return actions.NewSaleLine(
            lot=facts["lot"],
            amount=facts["amount"].grams_or_pieces,
            unit_price=facts["unit_price"],
            place=place or standing_place(facts["lot"]),
        )


class SaleForm(Override, DeedForm):
    row_sets = {"lines": (SaleLineForm, "What was sold")}
    folded = ("number", "place", "override")
    customer = Choice(Customer.objects.all(), required=False)
    channel = forms.CharField(
        label="Or sold at",
        required=False,
        max_length=80,
        help_text="A stall, a shop, the web: where nobody gave a name.",
    )
    number = forms.CharField(
        required=False, max_length=60, help_text="Left empty, the book gives one."
    )
    place = Choice(Place.objects.all(), label="Taken from", required=False)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["on"].label = "Sold on"
        self.suggestions = {"lots": released_lots(item__kind=Item.Kind.MADE)}

    def arguments(self):
        given = super().arguments()
        place = given.pop("place", None)
        rows = self.rows["lines"].written()
        return {**given, "lines": [row.new_line(place) for row in rows]}


class TakeBackForm(DeedForm):
    amount = AmountField(label="How many came back")
    then = forms.ChoiceField(label="What was done with them", choices=Return.Then)
    number = forms.CharField(
        required=False, max_length=60, help_text="Left empty, the book gives one."
    )
    place = Choice(Place.objects.all(), label="Put into", required=False)
    folded = ("number", "place")

    def __init__(self, *args, line, **kwargs):
        self.line = line
        super().__init__(*args, **kwargs)

    def clean(self):
        facts = super().clean()
        understand(self, "amount", self.line.lot.item)
        return facts

    def arguments(self):
        given = super().arguments()
        return {**given, "amount": given["amount"].grams_or_pieces}
