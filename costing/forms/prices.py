"""What is asked about prices: channels, wanted margins, a price, a list."""

from decimal import Decimal

from django import forms

from costing.domain.pricing import Step
from costing.models.prices import Channel
from costing.reads.prices import known_names
from production.models import Item
from production.pages.forms.deed import DeedForm
from production.pages.forms.fields import (
    Choice,
    DayField,
    MoneyField,
    NumberField,
    PercentField,
)
from production.quantities.domain.refusal import Refused
from production.record.reads.clock import today
from production.workshop.forms.cards import Card, OneSpelling


def _share(label, help_text="", **facts):
    return PercentField(label=label, required=False, help_text=help_text, **facts)


def _money(label, help_text="", **facts):
    return MoneyField(label=label, required=False, help_text=help_text, **facts)


# What is shared by pieces is shared by one at least.
LEAST_ONE = {
    "pieces_per_order": "An order has at least one piece: say how many are usual.",
    "pieces_a_day": "Say how many pieces a day at the stall sells, at least one.",
}


class ChannelForm(OneSpelling, Card):
    percent = _share("Percentage, %", "Of the price without sales tax.")
    consignment = _share(
        "Share that the shop keeps on consignment, %",
        "Of the price without sales tax. Open where the shop buys.",
    )
    payment = _share("Payment fee, %", "Of all that is paid, sales tax included.")
    payment_fixed = _money("Payment fee, fixed for an order")
    fixed = _money("Fixed for an order", "A listing or handling fee.")
    shipping = _money(
        "Shipping that you bear, for an order", "The carton counts here, too."
    )
    pieces_per_order = NumberField(
        label="Pieces of an order",
        places=3,
        required=False,
        help_text="How many are usual: what is fixed for an order is shared by them. "
        "1 if left open.",
    )
    stall_fee = _money("Stall fee for a day")
    pieces_a_day = NumberField(
        label="Pieces sold a day",
        places=3,
        required=False,
        help_text="They share the stall fee.",
    )
    tax = _share("Sales tax, %", "Of the price without it. 0 if left open.")
    step = _money(
        "Price step",
        "0.05, 0.50 or 1: prices worked out are rounded up to it. 0.01 if left open.",
    )
    ending = _money("Prices end on", "0.95 with a step of 1 gives 2.95, 3.95.")

    class Meta:
        model = Channel
        fields = (
            "name",
            "kind",
            "consignment",
            "percent",
            "payment",
            "payment_fixed",
            "fixed",
            "shipping",
            "pieces_per_order",
            "stall_fee",
            "pieces_a_day",
            "tax",
            "tax_inside",
            "step",
            "ending",
        )
        labels = {"tax_inside": "Prices are said with the tax"}
        help_texts = {
            "name": "As sales name it, so that they are found here: a stall, a shop, "
            "or a customer.",
        }
        widgets = {"name": forms.TextInput(attrs={"list": "channels"})}

    def clean(self):
        """What the table would refuse in words of its own is said beside its box."""
        facts = super().clean()
        for name, says in LEAST_ONE.items():
            if facts.get(name) is not None and facts[name] < 1:
                self.add_error(name, says)
        if not {"step", "ending"} & set(self.errors):
            fresh = Channel()
            step, ending = (
                getattr(fresh, name) if facts.get(name) is None else facts[name]
                for name in ("step", "ending")
            )
            try:
                Step(step, ending)
            except Refused as fault:
                self.add_error("ending" if step > 0 else "step", str(fault))
        return facts

    @property
    def suggestions(self):
        return {"channels": [(name, "") for name in known_names()]}

    def arguments(self):
        """What was left open is what a fresh card says."""
        facts = super().arguments()
        for name, value in facts.items():
            field = Channel._meta.get_field(name)
            if value is None and not field.null:
                facts[name] = field.get_default()
        return facts


class MarkupField(NumberField):
    """A markup in percent of the cost, as a fraction; 100 and more are usual."""

    def __init__(self, **kwargs):
        super().__init__(places=4, **kwargs)

    def clean(self, value):
        number = super().clean(str(value or "").strip().removesuffix("%").strip())
        return None if number is None else number / 100


class WantedForm(forms.Form):
    """What a price is worked out from; it writes nothing."""

    margin = PercentField(
        label="Wanted margin, %",
        required=False,
        high=True,
        help_text="Of the price without sales tax, after all that the channel takes.",
    )
    markup = MarkupField(
        label="or markup, %",
        required=False,
        help_text="Of the cost: 100 % is twice the cost, a margin of 50 %.",
    )
    fixed = _money("Fixed costs of a month", "Rent, insurance, the stall's yearly fee.")

    def clean(self):
        facts = super().clean()
        if facts.get("margin") is not None and facts.get("markup") is not None:
            self.add_error("markup", "Write a margin or a markup, not both.")
        if facts.get("margin") == 1:
            self.add_error(
                "margin",
                "A margin is a part of the price: 100 % would leave nothing for the "
                "cost. Write one below 100 %, or a markup.",
            )
        return facts


class TypedCostForm(WantedForm):
    """The same of a cost that is typed, of a product that no lot was made of yet."""

    material = _money("Materials of one piece", of="one")
    packaging = _money("Packaging of one piece", of="one")
    labour = _money("Paid work on one piece", of="one")
    overhead = _money(
        "Overhead in one piece",
        "It is in the margin, not in the contribution.",
        of="one",
    )
    minutes = NumberField(
        label="Minutes of work on one piece",
        places=3,
        required=False,
        help_text="For what an hour of work brings.",
    )
    field_order = ("material", "packaging", "labour", "overhead", "minutes", "margin")

    def clean(self):
        facts = super().clean()
        if not self.errors and not any(self.parts().values()):
            self.add_error("material", "Write what one piece costs.")
        return facts

    def parts(self):
        names = ("material", "packaging", "labour", "overhead")
        found = {name: self.cleaned_data.get(name) for name in names}
        return {name: cost for name, cost in found.items() if cost}


class PriceForm(DeedForm):
    channel = Choice(Channel.objects.all(), empty_label="choose")
    price = MoneyField(
        of="one",
        required=False,
        help_text="Of one piece, as the channel says it: with sales tax where its card "
        "says so. Open where it is not offered there any more.",
    )
    valid_from = DayField(
        label="Valid from",
        help_text="It may lie ahead. What was asked before stays in the history.",
    )

    def __init__(self, data=None, *, initial=None):
        super().__init__(data, initial={"valid_from": today(), **(initial or {})})


class TargetForm(DeedForm):
    margin = PercentField(
        label="Wanted margin, %",
        required=False,
        high=True,
        help_text="Of the price without sales tax, after the whole cost and all that "
        "the channel takes. Open where none is wanted any more.",
    )


class ShiftForm(forms.Form):
    item = Choice(
        Item.objects.exclude(kind=Item.Kind.MADE),
        label="Material",
        empty_label="choose",
    )
    change = PercentField(
        label="Its price moves by, %",
        signed=True,
        most=Decimal(1000),
        help_text="12, or -5 if it falls; 100 is twice as much.",
    )


class ListForm(forms.Form):
    """Which prices are printed: those of one channel, or of all of a kind."""

    of = forms.ChoiceField(label="For")
    on = DayField(label="Valid on")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        rows = [(str(row.pk), row.name) for row in Channel.objects.all()]
        kinds = [(kind.value, f"all {kind.label}") for kind in Channel.Kind]
        self.fields["of"].choices = [*rows, *kinds]

    def channels(self):
        of = self.cleaned_data["of"]
        if of in Channel.Kind.values:
            return list(Channel.objects.filter(kind=of))
        return list(Channel.objects.filter(pk=of))

    def title(self):
        """For whom it is: the name of the channel, or what kind of channels."""
        return dict(self.fields["of"].choices)[self.cleaned_data["of"]]
