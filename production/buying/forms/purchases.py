"""Goods come in: purchases, their prices and bills, and what was there before."""

from dataclasses import replace
from decimal import Decimal

from django import forms

from production.buying.actions.purchases import NewExtra, NewLine
from production.buying.domain.bills import currency_of
from production.buying.models import ExtraCost, Supplier
from production.chemistry.domain.alkali_names import strong_alkali
from production.chemistry.domain.doubts import whole_alkali
from production.pages.forms.deed import (
    DeedForm,
    PaperField,
    RowForm,
    ask_paper,
    read_again,
)
from production.pages.forms.fields import (
    AmountField,
    Choice,
    CodeField,
    DayField,
    FloorPercentField,
    MoneyField,
    NumberField,
    PercentField,
    Share,
    faulted,
    in_currency,
    parse_amount,
)
from production.quantities.domain.refusal import Refused
from production.stock.actions.opening_lots import NewLot, Reading
from production.stock.forms.places import places_to_put
from production.workshop.actions import roles
from production.workshop.models.items import Item
from production.workshop.reads.doubts import doubted
from production.workshop.reads.roles import role_of


def stated(purity, carbonate, confirmed=False):
    """What the tub or certificate says, as readings of the lot."""
    values = {"purity": purity, "carbonate": carbonate and Share(carbonate)}
    return tuple(
        Reading(what=what, value=said.value, basis=said.basis, confirmed=confirmed)
        for what, said in values.items()
        if said is not None
    )


def doubt_lot(form, item):
    """Ask about what the tub is said to hold, in the row where it stands."""
    facts = form.cleaned_data
    purity, carbonate = facts.get("purity"), facts.get("carbonate")
    if item is None or purity is None:
        return
    try:
        whole_alkali(purity.value, carbonate)
    except Refused as fault:
        form.add_error("carbonate", str(fault))
    if says := doubted(item, "purity", purity.value):
        ask_paper(form, f"{says} Read it again, or tick this.")


def ask_role(form, item):
    """A material of which nobody has said what it is does not come in unasked."""
    if item is not None and not role_of(item) and item.kind == Item.Kind.MATERIAL:
        form.add_error(
            "item", f"{roles.say_what_it_is(item.name)} Open its page and change it."
        )


def judge_text(form, item, text):
    """An alkali is stocked, and its card says that it is one: so it is followed."""
    if not text or strong_alkali(text) is None or (item and item.is_alkali):
        return
    mend = (
        f"An owner says so on the card of {item.name} first."
        if item
        else "Choose its item instead, so that what is made of it is followed."
    )
    form.add_error("text", f"{text} is the name of a strong alkali. {mend}")


class CurrencyField(forms.CharField):
    """Three letters, as EUR; empty is the money that is meant anyway."""

    def __init__(self, **kwargs):
        kwargs.setdefault("label", "Currency")
        super().__init__(max_length=3, required=False, **kwargs)

    def clean(self, value):
        with faulted():
            return currency_of(super().clean(value))


class LotFacts(forms.Form):
    """What is written on the goods themselves."""

    supplier_lot = forms.CharField(
        label="Supplier's lot", required=False, max_length=80
    )
    expires = DayField(required=False)
    code = CodeField(
        label="Own code",
        help_text="Left empty, the book gives one.",
    )
    purity = FloorPercentField(
        label="Purity, %",
        required=False,
        high=True,
        help_text="Of an alkali or acid, as the tub or certificate says: 89.9 %, or "
        "min. 85 % where it names a floor.",
    )
    carbonate = PercentField(label="Carbonate in it, %", required=False)
    confirmed = PaperField()

    def new_lot(self):
        facts = self.cleaned_data
        amount = facts["amount"]
        return NewLot(
            amount=amount.grams_or_pieces,
            typed=amount.typed,
            code=facts["code"],
            supplier_lot=facts["supplier_lot"],
            expires=facts["expires"],
            readings=stated(
                facts["purity"], facts["carbonate"], bool(facts["confirmed"])
            ),
        )


class PurchaseLineForm(LotFacts, RowForm):
    tells = ("item", "amount", "price", "text", "supplier_lot")
    folded = (
        "code",
        "carbonate",
        "tax",
        "recoverable_tax",
        "shipping_weight",
        "text",
        "same_line",
    )
    item = Choice(Item.objects.select_related("name_on_label", "oil"), required=False)
    amount = AmountField(label="How much", required=False)
    price = MoneyField(
        label="Price of all of it",
        required=False,
        help_text="Empty while the invoice is still to come.",
    )
    tax = MoneyField(label="Tax on it", required=False)
    recoverable_tax = MoneyField(label="Tax that comes back", required=False)
    shipping_weight = AmountField(label="Weight as shipped", required=False, unit="g")
    text = forms.CharField(
        label="Not stocked",
        required=False,
        max_length=200,
        help_text="A deposit or the like, that only makes the invoice add up.",
    )
    same_line = forms.BooleanField(
        label="Another lot of the line above", required=False
    )
    field_order = ["item", "amount", "price", "supplier_lot", "expires", "purity"]

    def clean(self):
        facts = super().clean()
        item = facts.get("item")
        if item is None and not facts.get("text") and self.has_changed():
            self.add_error("item", "Say what arrived.")
        ask_role(self, item)
        judge_text(self, item, facts.get("text"))
        doubt_lot(self, item)
        if item is not None and not facts.get("amount") and "amount" in facts:
            self.add_error("amount", "Write how much arrived, such as 35 lb.")
        if facts.get("same_line") and facts.get("price") is not None:
            self.add_error("price", "Leave it open: the line above carries the price.")
        parse_amount(self, "amount", item)
        return facts

    def new_line(self):
        facts = self.cleaned_data
        weight = facts["shipping_weight"]
        return NewLine(
            item=facts["item"],
            lots=[self.new_lot()] if facts["item"] else [],
            price=facts["price"],
            tax=facts["tax"] or Decimal(0),
            recoverable_tax=facts["recoverable_tax"] or Decimal(0),
            shipping_weight=weight.grams_or_pieces if weight else None,
            text=facts["text"],
        )


THAT_OF_THE_INVOICE = "Left empty, it is that of the invoice."
ITS_RATE = "Of your own money for one of its. Left empty, it is that of the invoice."


class ExtraCostRow(RowForm):
    tells = ("amount",)
    kind = forms.ChoiceField(choices=ExtraCost.Kind)
    amount = MoneyField(required=False, signed=True, help_text="A credit with a minus.")
    recoverable_tax = MoneyField(
        label="Tax that comes back",
        required=False,
        signed=True,
        help_text="It is not in the amount.",
    )
    by = forms.ChoiceField(
        label="Shared by", choices=ExtraCost.By, initial=ExtraCost.By.WEIGHT
    )
    currency = CurrencyField(help_text=THAT_OF_THE_INVOICE)
    rate = NumberField(label="Its rate", places=8, required=False, help_text=ITS_RATE)
    folded = ("recoverable_tax", "currency", "rate")
    # That of the invoice, where it names one.
    invoiced_in = ""

    def full_clean(self):
        own = self.data.get(self.add_prefix("currency"))
        in_currency(self, own or self.invoiced_in)
        super().full_clean()

    def new_extra(self):
        facts = self.cleaned_data
        told = ("kind", "amount", "by", "currency", "rate")
        tax = facts["recoverable_tax"] or Decimal(0)
        own = {name: facts[name] for name in told}
        return NewExtra(**own, recoverable_tax=tax)


class PurchaseForm(DeedForm):
    row_sets = {
        "lines": (PurchaseLineForm, "What arrived"),
        "extra_costs": (ExtraCostRow, "Extra costs known so far"),
    }
    folded_rows = ("extra_costs",)
    folded = ("ordered", "invoiced", "currency", "rate", "place")
    supplier = Choice(
        Supplier.objects.all(), help_text="Not there yet? Add it under Suppliers first."
    )
    number = forms.CharField(
        label="Number of the order or invoice",
        required=False,
        max_length=60,
        help_text="Left empty, the book gives one.",
    )
    ordered = DayField(required=False)
    invoiced = DayField(required=False)
    confirmed = read_again()
    currency = CurrencyField(
        label="Currency of the invoice",
        help_text="Three letters, such as EUR. Left empty, it is your own.",
    )
    rate = NumberField(
        label="Rate of a foreign invoice",
        places=8,
        required=False,
        help_text="How much of your own money one of its is.",
    )
    place = Choice(places_to_put(), label="Put away in", required=False)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["on"].label = "Arrived on"
        if named := self.data.get("currency"):
            for row in self.rows["lines"].forms:
                in_currency(row, named)
            for row in self.rows["extra_costs"].forms:
                row.invoiced_in = named

    def arguments(self):
        given = super().arguments()
        sure = given.pop("confirmed")
        return {
            **given,
            "sure": sure,
            "lines": self._lines(),
            "extra_costs": [
                row.new_extra() for row in self.rows["extra_costs"].written()
            ],
        }

    def _lines(self):
        lines = []
        for row in self.rows["lines"].written():
            if not row.cleaned_data["same_line"]:
                lines.append(row.new_line())
            elif lines and lines[-1].item == row.cleaned_data["item"] is not None:
                lines[-1].lots.append(row.new_lot())
            else:
                raise Refused("Another lot of a line is of the same item as the line.")
        return lines


class PriceForm(DeedForm):
    """``purchase``: whose currency the sums are in."""

    price = MoneyField(label="Price of the whole line")
    tax = MoneyField(label="Tax on it", required=False)
    recoverable_tax = MoneyField(label="Tax that comes back", required=False)

    def __init__(self, data=None, *, purchase, **kwargs):
        super().__init__(data, **kwargs)
        in_currency(self, purchase.currency)


class ExtraCostForm(DeedForm):
    kind = forms.ChoiceField(choices=ExtraCost.Kind)
    amount = MoneyField(signed=True, help_text="A credit is written with a minus.")
    recoverable_tax = MoneyField(
        label="Tax that comes back",
        required=False,
        signed=True,
        help_text="It is not in the amount.",
    )
    by_basis = forms.ChoiceField(
        label="Shared over the lines by",
        choices=ExtraCost.By,
        initial=ExtraCost.By.WEIGHT,
    )
    invoiced = DayField(label="Date of the bill", required=False)
    currency = CurrencyField(help_text=THAT_OF_THE_INVOICE)
    rate = NumberField(label="Its rate", places=8, required=False, help_text=ITS_RATE)
    confirmed = read_again()
    folded = ("recoverable_tax", "currency", "rate")

    def __init__(self, data=None, *, purchase, **kwargs):
        super().__init__(data, **kwargs)
        in_currency(self, self.data.get("currency") or purchase.currency)

    def arguments(self):
        given = super().arguments()
        sure = given.pop("confirmed")
        return {**given, "sure": sure}


class OpenStockForm(LotFacts, DeedForm):
    item = Choice(Item.objects.select_related("name_on_label", "oil"))
    amount = AmountField(label="How much is there")
    value = MoneyField(
        label="Worth in all",
        required=False,
        help_text="Left empty it is unknown, and so is every cost made of it.",
    )
    net_mass = AmountField(label="Net mass of one piece", required=False, unit="g")
    place = Choice(places_to_put(), required=False)
    folded = ("code", "carbonate", "net_mass", "place")
    field_order = ["item", "amount", "value"]

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["on"].label = "Counted on"
        self.order_fields(["key", "item", "amount", "value"])

    def clean(self):
        facts = super().clean()
        ask_role(self, facts.get("item"))
        doubt_lot(self, facts.get("item"))
        parse_amount(self, "amount", facts.get("item"))
        return facts

    def new_lot(self):
        mass = self.cleaned_data["net_mass"]
        lot = super().new_lot()
        return replace(lot, net_mass=mass.grams_or_pieces) if mass else lot

    def arguments(self):
        given = super().arguments()
        kept = ("key", "on", "reason", "item", "value", "place")
        own = {"lot": self.new_lot(), "sure": bool(given.get("confirmed"))}
        return {n: given[n] for n in kept if n in given} | own
