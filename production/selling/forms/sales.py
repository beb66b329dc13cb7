"""Bottles leave, and some come back."""

from typing import Any

from django import forms

from production.fitness.forms import released_lots
from production.pages.forms.deed import DeedForm, RowForm
from production.pages.forms.fields import (
    AmountField,
    Choice,
    MoneyField,
    PercentField,
    parse_amount,
    typed_in,
)
from production.quantities.domain.numbers import plain
from production.selling.actions.sales import NewSaleLine
from production.selling.models import Customer, Looked, Return, Sale
from production.selling.reads.places_of_sales import last_place_of, meant, proposed
from production.selling.reads.revenue import last_tax
from production.stock.actions.posting import home_place
from production.stock.forms.fields import LotField
from production.stock.forms.lots import LotForm, Override
from production.stock.forms.places import PlaceOf, places_to_put
from production.stock.reads.places_of_lots import in_words, stands_of
from production.workshop.models.items import Item


class SaleLineForm(RowForm):
    data: Any
    tells = ("lot", "amount")
    folded = ("deposit",)
    folded_words = "With a deposit on the bottle"
    lot = LotField(label="Batch no.")
    amount = AmountField(label="How many")
    unit_price = MoneyField(label="Price of one", of="one", required=False)
    deposit = MoneyField(
        label="Deposit on one",
        of="one",
        required=False,
        help_text="On top of the price: owed until the bottle comes back empty.",
    )
    tax = MoneyField(
        label="Sales tax of the line",
        required=False,
        help_text="As the paper says; left empty, it goes by the rate.",
    )
    folded = ("tax",)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.source = typed_in(self, "lot")
        self.stands = stands_of(self.source) if self.source else []
        if len(self.stands) > 1:
            self.fields["place"] = PlaceOf(self.stands, self.source.item.unit)

    def clean(self):
        facts = super().clean()
        if lot := facts.get("lot"):
            parse_amount(self, "amount", lot.item)
        return facts

    def settle(self, place, last, proposal):
        """Where it is taken from; asked in the row where somebody has to say it."""
        facts = self.cleaned_data
        self.place = facts.get("place") or place
        if self.place is None and self.stands:
            self.place = meant(self.stands, facts["amount"].grams_or_pieces, last)
        if self.place is not None or not self.stands:
            return
        self.data = self.data.copy()
        self.data[self.add_prefix("place")] = str(proposal(self.stands).pk)
        says = in_words(self.stands, self.source.item.unit)
        self.add_error("place", f"Say where {self.source} is taken from: {says}.")

    def new_line(self):
        facts = self.cleaned_data
        return NewSaleLine(
            lot=facts["lot"],
            amount=facts["amount"].grams_or_pieces,
            unit_price=facts["unit_price"],
            tax=facts["tax"],
            place=self.place,
            deposit=facts["deposit"],
        )


class SaleForm(Override, DeedForm):
    row_sets = {"lines": (SaleLineForm, "What was sold")}
    folded: tuple[str, ...] = ("tax_rate", "tax_is", "number", "place", "override")
    customer = Choice(Customer.objects.all(), required=False)
    channel = forms.CharField(
        label="Or sold at",
        required=False,
        max_length=80,
        help_text="A stall, a shop, the web: where nobody gave a name.",
    )
    paid = forms.BooleanField(label="Paid at once", required=False)
    tax_rate = PercentField(
        label="Sales tax, %",
        required=False,
        help_text="Left empty, none was asked for.",
    )
    tax_is = forms.ChoiceField(
        label="The sales tax is",
        choices=Sale.TaxIs,
        required=False,
        initial=Sale.TaxIs.ON_TOP,
    )
    number = forms.CharField(
        required=False, max_length=60, help_text="Left empty, the book gives one."
    )
    place = Choice(places_to_put(), label="Taken from", required=False)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["on"].label = "Sold on"
        self._begin_with_the_last_tax()
        self.suggestions = {"lots": released_lots(item__kind=Item.Kind.MADE)}

        for row in self.rows["lines"].forms:
            if not row.is_bound and row.stands:
                self._propose(row)

    def _begin_with_the_last_tax(self):
        """What stands in a box is seen: it is folded only where there is none."""
        rate, tax_is = last_tax()
        if rate is None:
            return
        self.initial |= {"tax_rate": rate, "tax_is": tax_is}
        self.folded = tuple(n for n in self.folded if not n.startswith("tax"))
        help_text = "As on the sale before. Left empty, none was asked for."
        self.fields["tax_rate"].help_text = help_text

    def _propose(self, row):
        if "place" in row.fields:
            home = home_place()
            row.initial["place"] = proposed(row.stands, None, home, None)

    def clean(self):
        facts = super().clean()
        last = last_place_of(facts.get("channel") or "")
        customer, home = facts.get("customer"), home_place()
        for row in self.rows["lines"].written():
            if row.is_valid():
                row.settle(
                    facts.get("place"),
                    last,
                    lambda stands: proposed(stands, last, home, customer),
                )
        return facts

    def is_valid(self):
        # Where each line is taken from is settled once the channel is read.
        return super().is_valid() and self.rows["lines"].is_valid()

    def arguments(self):
        given = super().arguments()
        given.pop("place", None)
        given["tax_is"] = given.get("tax_is") or Sale.TaxIs.ON_TOP
        rows = self.rows["lines"].written()
        return {**given, "lines": [row.new_line() for row in rows]}


class TakeBackForm(LotForm):
    amount = AmountField(label="How many came back")
    then = forms.ChoiceField(
        label="What was done with them",
        choices=[
            (Return.Then.APART, "put apart: nobody has looked at them yet"),
            (Return.Then.RESTOCK, "looked at, still sealed: back for sale"),
            (Return.Then.DESTROY, "destroyed"),
        ],
        widget=forms.RadioSelect,
        initial=Return.Then.APART,
        help_text="Opened, refilled or damaged ones are put apart, too: "
        "they never go back for sale.",
    )
    number = forms.CharField(
        required=False, max_length=60, help_text="Left empty, the book gives one."
    )
    place = Choice(places_to_put(), label="Put back into", required=False)
    folded = ("number", "place")

    def __init__(self, *args, line, **kwargs):
        super().__init__(*args, lot=line.lot, **kwargs)


class LookForm(LotForm):
    """What somebody saw of goods that came back; ``left`` waits to be looked at."""

    seen = forms.ChoiceField(
        label="What you saw", choices=Looked.Seen, widget=forms.RadioSelect
    )
    amount = AmountField(label="How many of them")
    place = Choice(
        places_to_put(),
        label="Put sealed ones back into",
        required=False,
        empty_label="where they were sold from",
    )

    def __init__(self, data=None, *, back, left, **kwargs):
        first = {"amount": plain(left)}
        super().__init__(data, lot=back.line.lot, initial=first, **kwargs)
        self.fields["on"].label = "Looked at on"
