"""A sheet of purchases: one plain form a row, then the rows of each invoice."""

from dataclasses import dataclass
from decimal import Decimal
from types import SimpleNamespace

from django import forms
from django.core.exceptions import ValidationError

from production.actions import NewExtra, NewLine
from production.domain.numbers import plain
from production.domain.purchase_sheet import WORDS, read_day
from production.domain.refusal import Refused
from production.files import MOST_BYTES
from production.forms.buying import LotFacts
from production.forms.fields import (
    AmountField,
    MoneyField,
    NumberField,
    PercentField,
    understand,
)
from production.models import ExtraCost, Item

INVOICE = {"on", "supplier", "number", "ordered", "invoiced", "rate", "place", "total"}
LINE = ("price", "tax", "recoverable_tax", "shipping_weight")
# What may stand in a row beside its invoice, by the cell that says what the row is.
BESIDE = {
    "item": {
        *("kind", "category", "amount", "density", "line", "supplier_lot", "code"),
        *("expires", "purity", "carbonate", *LINE),
    },
    "text": {"line", *LINE},
    "extra": {"extra_amount", "shared_by"},
}
ROWS = {
    "item": "of goods",
    "text": "of something not stocked",
    "extra": "of an extra cost",
}
# Nothing here is heavier: lead weighs 11.3 g/mL. A density in kg/m3 is caught.
DENSEST = Decimal(12)


class PurchaseSheetForm(forms.Form):
    file = forms.FileField(
        label="The sheet",
        help_text="xlsx, or csv as UTF-8 text; 5 MB and 5,000 rows at most.",
        widget=forms.FileInput(attrs={"accept": ".xlsx,.csv"}),
    )

    def clean_file(self):
        if self.cleaned_data["file"].size > MOST_BYTES:
            raise ValidationError("The file is larger than 5 MB. Split it into several.")
        return self.cleaned_data["file"]


class SheetDayField(forms.CharField):
    """A day of a sheet: only the standard's way of writing is not a guess."""

    def clean(self, value):
        text = super().clean(value)
        if not text:
            return None
        try:
            return read_day(text)
        except Refused as fault:
            raise ValidationError(str(fault)) from fault


class WordField(forms.CharField):
    """One of a few words, however it is capitalised."""

    def __init__(self, choices, **kwargs):
        self.words = {}
        for value, words in choices:
            if value:
                self.words |= {str(words).casefold(): value, value.casefold(): value}
        self.named = ", ".join(value for value, _ in choices if value)
        super().__init__(**kwargs)

    def clean(self, value):
        text = super().clean(value)
        if text and text.casefold() not in self.words:
            raise ValidationError(f"{text} is not known here. Write {self.named}.")
        return self.words.get(text.casefold(), "")


BOUGHT = [(kind.value, kind.label) for kind in Item.Kind if kind != Item.Kind.MADE]


class PurchaseRowForm(LotFacts):
    """A row of the sheet. ``shelf`` knows the cards, and those that are to be added."""

    on = SheetDayField()
    supplier = forms.CharField(max_length=120)
    number = forms.CharField(max_length=60)
    ordered = SheetDayField()
    invoiced = SheetDayField()
    rate = NumberField(places=8)
    place = forms.CharField()
    total = MoneyField(signed=True)
    item = forms.CharField(max_length=120)
    kind = WordField(BOUGHT)
    category = WordField(Item.Category.choices)
    amount = AmountField()
    density = NumberField(places=4)
    line = forms.CharField(max_length=60)
    expires = SheetDayField()
    price = MoneyField()
    tax = MoneyField()
    recoverable_tax = MoneyField()
    shipping_weight = AmountField(unit="g")
    text = forms.CharField(max_length=200)
    extra = WordField(ExtraCost.Kind.choices)
    extra_amount = MoneyField(signed=True)
    shared_by = WordField(ExtraCost.By.choices)
    use_required_attribute = False

    def __init__(self, row, shelf):
        self.row, self.shelf, self.card, self.sort = row, shelf, None, ""
        super().__init__(dict(row.words))
        for field in self.fields.values():
            field.required = False

    def clean(self):
        facts = super().clean()
        if "number" not in self.row.words:
            self.add_error("number", "Write the number of the invoice or order.")
        sorts = [name for name in BESIDE if name in self.row.words]
        if len(sorts) != 1:
            self._unclear(sorts)
            return facts
        self.sort = sorts[0]
        for name in self.row.words.keys() - INVOICE - BESIDE[self.sort] - {self.sort}:
            self.add_error(
                name, f"This row is {ROWS[self.sort]}: leave {WORDS[name]} empty."
            )
        getattr(self, f"_clean_{self.sort}")(facts)
        return facts
