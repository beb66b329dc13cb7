"""Putting a typed figure right: the figures of one thing, as they stand."""

import hashlib

from django import forms

from production.batches.forms.working import HoursField
from production.buying.forms.purchases import (
    ITS_RATE,
    THAT_OF_THE_INVOICE,
    CurrencyField,
)
from production.buying.models import ExtraCost, Supplier
from production.pages.forms.deed import DeedForm, PaperField
from production.pages.forms.fields import (
    AmountField,
    Choice,
    CodeField,
    DayField,
    KilowattField,
    MoneyField,
    NumberField,
    PercentField,
    in_currency,
)
from production.quantities.domain.numbers import plain
from production.record.reads.restated import OF, in_text
from production.selling.models import Customer, Sale
from production.stock.forms.fields import reading_field
from production.stock.models.batches import Work
from production.stock.models.lots import Lot
from production.stock.models.readings import Measurement
from production.workshop.models.items import Item


class PutRightForm(DeedForm):
    """Its own fields are figures of the thing; ``seen`` is what was looked at."""

    reason_asked = True
    # A figure that the form's own day would hide.
    named = {"day": "on"}
    seen = forms.CharField(widget=forms.HiddenInput, required=False)
    confirmed = PaperField()

    def __init__(self, data=None, *, of, thing):
        self.of, self.thing = of, thing
        super().__init__(data, initial=self.stands(thing))
        self.fields["on"].label = "Put right on"
        self.choose(thing)

    def choose(self, thing):
        """What can be chosen or left out, by what the thing is."""

    def stands(self, thing):
        """The figures as they stand now, as the boxes show them."""
        return {
            name: self.boxed(name, getattr(thing, self.named.get(name, name)))
            for name in self.own()
        }

    def boxed(self, name, value):
        box = self.base_fields[name]
        if isinstance(box, AmountField | NumberField) and value is not None:
            return box.prepare_value(value)
        return value

    def own(self):
        aside = {"key", "on", "reason", "seen", "confirmed"}
        return [name for name in self.base_fields if name not in aside]

    def figures(self):
        """What was typed, by the names of the figures; None where left open."""
        found = {}
        for name in self.own():
            if name in self.fields:
                value = self.cleaned_data.get(name)
                value = getattr(value, "grams_or_pieces", value)
                if value == "" and isinstance(self.fields[name], AmountField):
                    value = None
                found[self.named.get(name, name)] = value
        return found

    def arguments(self):
        told = {**self.signed(), "confirmed": self.cleaned_data["confirmed"]}
        thing = {"of": str(self.of), "row": self.thing.pk}
        return {**told, **thing, "figures": self.figures()}

    def mark(self):
        """What is looked at before it is written: both figures, and no others."""
        both = (self.stands(self.thing), self.figures())
        text = "\n".join(f"{n}={in_text(v)}" for one in both for n, v in one.items())
        return hashlib.sha256(text.encode()).hexdigest()


class PurchaseForm(PutRightForm):
    number = forms.CharField(label="Number of the invoice", max_length=60, strip=False)
    supplier = Choice(Supplier.objects.all(), empty_label=None)
    ordered = DayField(required=False)
    arrived = DayField(
        help_text="The goods that came in on the day that stands move with it."
    )
    invoiced = DayField(required=False)
    currency = CurrencyField(label="Currency of the invoice")
    rate = NumberField(
        places=8, label="Rate of the invoice", help_text="1 in your own money."
    )


class LineForm(PutRightForm):
    price = MoneyField(label="Price of the whole line", required=False)
    tax = MoneyField(label="Tax on it", required=False)
    recoverable_tax = MoneyField(label="Tax that comes back", required=False)
    shipping_weight = AmountField(label="Weight as shipped", unit="g", required=False)

    def choose(self, thing):
        in_currency(self, thing.purchase.currency)

    def stands(self, thing):
        price = thing.prices.last()
        money = ("price", "tax", "recoverable_tax")
        found = {n: plain(getattr(price, n)) if price else None for n in money}
        weight = thing.shipping_weight
        return {**found, "shipping_weight": None if weight is None else plain(weight)}

    def figures(self):
        """A price nobody wrote stays unknown; an empty tax beside one is none."""
        found = super().figures()
        if found["price"] is None and not self.initial["price"]:
            return {"shipping_weight": found["shipping_weight"]}
        for name in ("tax", "recoverable_tax"):
            found[name] = found[name] or 0
        return found


class ExtraForm(PutRightForm):
    kind = forms.ChoiceField(choices=ExtraCost.Kind)
    amount = MoneyField(signed=True, help_text="A credit is written with a minus.")
    recoverable_tax = MoneyField(
        label="Tax that comes back",
        signed=True,
        required=False,
        help_text="It is not in the amount.",
    )
    by = forms.ChoiceField(label="Shared over the lines by", choices=ExtraCost.By)
    invoiced = DayField(label="Date of the bill")
    currency = CurrencyField(help_text=THAT_OF_THE_INVOICE)
    rate = NumberField(places=8, required=False, help_text=ITS_RATE)

    def choose(self, thing):
        in_currency(self, self.data.get("currency") or thing.purchase.currency)

    def figures(self):
        """An empty tax beside a bill is none."""
        found = super().figures()
        return found | {"recoverable_tax": found["recoverable_tax"] or 0}


class ValueForm(PutRightForm):
    value = MoneyField(
        label="What all of it was worth",
        required=False,
        help_text="Left empty, it is not known.",
    )


class LotForm(PutRightForm):
    item = Choice(Item.objects.none(), empty_label=None)
    supplier_lot = forms.CharField(
        label="Supplier's lot", max_length=80, required=False
    )
    net_mass = AmountField(label="Net mass of one piece", unit="g", required=False)
    expires = DayField(
        required=False, help_text="A longer life after a test is a page of its own."
    )

    def choose(self, thing):
        alike = Item.objects.filter(kind=thing.item.kind, unit=thing.item.unit)
        self.fields["item"].queryset = alike.filter(category=thing.item.category)
        if thing.batch_id:
            del self.fields["item"]
        if thing.item.unit != Item.Unit.PIECE:
            del self.fields["net_mass"]


class BatchForm(PutRightForm):
    started = DayField(label="Started on")
    expected = AmountField(
        label="Expected to come out",
        unit="g",
        required=False,
        help_text="Left empty, it is not judged.",
    )

    def choose(self, thing):
        self.fields["expected"].unit = made_in(thing)


def made_in(batch):
    """The unit of what a batch makes: grams unless its recipe or lot says pieces."""
    lot = Lot.objects.filter(batch=batch).select_related("item").first()
    makes = batch.version.formula.makes if batch.version else None
    item = lot.item if lot else makes
    return item.unit if item else Item.Unit.GRAM


class SaleForm(PutRightForm):
    number = forms.CharField(max_length=60, strip=False)
    day = DayField(label="Sold on")
    customer = Choice(Customer.objects.all(), required=False)
    channel = forms.CharField(max_length=80, required=False)
    tax_rate = PercentField(label="Sales tax, %", required=False)
    tax_is = forms.ChoiceField(label="The sales tax is", choices=Sale.TaxIs)


class SaleLineForm(PutRightForm):
    unit_price = MoneyField(label="Price of one", of="one", required=False)
    deposit = MoneyField(label="Deposit on one", of="one", required=False)
    tax = MoneyField(
        label="Sales tax of the line",
        required=False,
        help_text="Left empty, it goes by the rate of the sale.",
    )


class GivenForm(PutRightForm):
    recipient = forms.CharField(label="Who has it", max_length=120, required=False)


class ReadingForm(PutRightForm):
    value = NumberField(places=6, signed=True, label="What was really read")
    day = DayField(label="Read on")

    def choose(self, thing):
        share = thing.what in Measurement.SHARES
        label = "What was really read" + (", %" if share else "")
        self.fields["value"] = reading_field(thing.what, label=label)
        if share:
            self.initial["value"] = thing.value


class WorkForm(PutRightForm):
    kind = forms.ChoiceField(choices=Work.Kind)
    person = forms.CharField(label="Who worked", max_length=80, required=False)
    equipment = forms.CharField(label="What ran", max_length=80, required=False)
    power = KilowattField(
        required=False,
        label="It draws, kW",
        help_text="Left empty, the rate is that of an hour; else of a kilowatt hour.",
    )
    hours = HoursField()
    rate = MoneyField(label="Rate of an hour, or of a kWh")
    day = DayField(label="Worked on")


class LossForm(PutRightForm):
    amount = AmountField(label="How much was lost", unit="g")
    day = DayField(label="Lost on")


FORMS = {
    OF.PURCHASE: PurchaseForm,
    OF.LINE: LineForm,
    OF.EXTRA_COST: ExtraForm,
    OF.ENTRY: ValueForm,
    OF.LOT: LotForm,
    OF.BATCH: BatchForm,
    OF.SALE: SaleForm,
    OF.SALE_LINE: SaleLineForm,
    OF.GIVEN: GivenForm,
    OF.READING: ReadingForm,
    OF.WORK: WorkForm,
    OF.LOSS: LossForm,
}


class ProperCodeForm(DeedForm):
    """A code in place of one that nobody can read or type."""

    reason_asked = True
    code = CodeField(label="Code from now on")

    def __init__(self, data=None):
        super().__init__(data)
        self.fields["code"].required = True


class ExtendForm(DeedForm):
    """A longer life: the test it rests on, the new day, and why."""

    reason_asked = True
    expires = DayField(label="Keeps until, from now on")
    reading = Choice(
        Measurement.objects.none(), required=False, label="Reading it rests on"
    )
    paper = forms.CharField(
        label="Or the paper",
        max_length=120,
        required=False,
        help_text="Of the laboratory or the supplier, with its number and day.",
    )

    def __init__(self, data=None, *, lot):
        super().__init__(data)
        measured = lot.measurements.filter(
            basis=Measurement.Basis.MEASURED, taken_back__isnull=True
        )
        self.fields["reading"].queryset = measured.exclude(deed=lot.deed_id)
        self.fields["reading"].label_from_instance = lambda row: f"{row.what}, {row.on}"
