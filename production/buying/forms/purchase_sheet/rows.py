"""A sheet of purchases: one plain form a row, then the rows of each invoice."""

from types import SimpleNamespace

from django import forms
from django.core.exceptions import ValidationError

from production.buying.actions.purchases import NewExtra
from production.buying.domain.purchase_sheet import WORDS, read_day
from production.buying.forms.purchases import CurrencyField, LotFacts, judge_text
from production.buying.models import ExtraCost
from production.chemistry.domain.doubts import doubt, whole_alkali
from production.pages.forms.fields import (
    AmountField,
    DensityField,
    MoneyField,
    NumberField,
    faulted,
    in_currency,
    parse_amount,
)
from production.papers.files.sheets_in import MOST_BYTES
from production.quantities.domain.invisible import refuse_number
from production.quantities.domain.refusal import Refused
from production.record.reads.any_case import same_number
from production.workshop.models.items import Item

INVOICE = {
    *("on", "supplier", "number", "ordered", "invoiced", "currency", "rate", "place"),
    "total",
}
LINE = ("price", "tax", "recoverable_tax", "shipping_weight")
# What may stand in a row beside its invoice, by the cell that says what the row is.
BESIDE = {
    "item": {
        *("kind", "category", "amount", "density", "line", "supplier_lot", "code"),
        *("expires", "purity", "carbonate", "confirmed", *LINE),
    },
    "text": {"line", *LINE},
    "extra": {"extra_amount", "shared_by", "extra_currency", "extra_rate"},
}
ROWS = {
    "item": "of goods",
    "text": "of something not stocked",
    "extra": "of an extra cost",
}
OTHER_MONEY = f"Or write the other one under {WORDS['currency']}."


class PurchaseSheetForm(forms.Form):
    file = forms.FileField(
        label="The sheet",
        help_text="xlsx, or csv as UTF-8 text; 5 MB and 5,000 rows at most.",
        widget=forms.FileInput(attrs={"accept": ".xlsx,.csv"}),
    )

    def clean_file(self):
        if self.cleaned_data["file"].size > MOST_BYTES:
            raise ValidationError("The file is larger than 5 MB. Split it.")
        return self.cleaned_data["file"]


class SheetDayField(forms.CharField):
    """A day of a sheet: only the standard's way of writing is not a guess."""

    def clean(self, value):
        text = super().clean(value)
        if not text:
            return None
        with faulted():
            return read_day(text)


class WordField(forms.CharField):
    """One of a few words, however it is capitalised."""

    def __init__(self, choices, **kwargs):
        self.words: dict[str, str] = {}
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
    """A row of the sheet; ``lookup`` knows the cards, and those to be added."""

    on = SheetDayField()
    supplier = forms.CharField(max_length=120)
    number = forms.CharField(max_length=60)
    ordered = SheetDayField()
    invoiced = SheetDayField()
    currency = CurrencyField()
    rate = NumberField(places=8)
    place = forms.CharField()
    total = MoneyField(signed=True)
    confirmed = WordField([("yes", "yes")])
    item = forms.CharField(max_length=120)
    kind = WordField(BOUGHT)
    category = WordField(Item.Category.choices)
    amount = AmountField()
    density = DensityField()
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
    extra_currency = CurrencyField()
    extra_rate = NumberField(places=8)
    use_required_attribute = False

    def __init__(self, row, lookup):
        self.row, self.lookup, self.card, self.sort = row, lookup, None, ""
        super().__init__(dict(row.words))
        for field in self.fields.values():
            field.required = False
            if isinstance(field, MoneyField):
                field.mend = OTHER_MONEY
        in_currency(self, self._currency())

    def _currency(self):
        """What the sums of this row are in; of an extra cost, its own."""
        said = self.row.words
        own = said.get("extra_currency") if "extra" in said else ""
        invoiced = self.lookup.invoiced_in.get(same_number(said.get("number", "")))
        return own or invoiced or self.lookup.currency

    def clean_number(self):
        with faulted():
            refuse_number(self.cleaned_data["number"])
        return self.cleaned_data["number"]

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

    def _unclear(self, sorts):
        one = "an item, something not stocked, or an extra cost"
        if sorts:
            self.add_error(sorts[-1], f"A row is {one}: one of them.")
        else:
            self.add_error(None, f"Say what this row is: {one}.")

    def _clean_item(self, facts):
        density = facts.get("density")
        if "amount" not in self.row.words:
            self.add_error("amount", "Write how much arrived, such as 35 lb.")
        if not facts.get("item"):
            return
        try:
            self.card = self.lookup.card(facts)
        except ValidationError as fault:
            self.add_error(None, fault)
        if self.card is not None:
            weighed = SimpleNamespace(
                unit=self.card.unit, density=density or self.card.density
            )
            # A volume waits for a density that is none.
            if "density" not in self.errors:
                parse_amount(self, "amount", weighed)
            self._doubt(facts)

    def _doubt(self, facts):
        """A purity that cannot well be so is written with "yes" beside it."""
        purity, carbonate = facts.get("purity"), facts.get("carbonate")
        if purity is None or self.card is None:
            return
        try:
            whole_alkali(purity.value, carbonate)
        except Refused as fault:
            self.add_error("carbonate", str(fault))
        says = doubt("purity", purity.value, alkali=self.card.alkali)
        if says and not facts.get("confirmed"):
            mend = f"Read it again, or write yes under {WORDS['confirmed']}."
            self.add_error("purity", f"{says} {mend}")

    def _clean_text(self, facts):
        judge_text(self, None, facts.get("text"))

    def _clean_extra(self, facts):
        if "extra_amount" not in self.row.words:
            self.add_error("extra_amount", "Write how much it came to.")
        amount, credit = facts.get("extra_amount"), ExtraCost.Kind.CREDIT
        if amount is None or not facts.get("extra"):
            return
        if (amount < 0) != (facts["extra"] == credit):
            self.add_error(
                "extra_amount",
                "A credit is written with a minus, every other extra cost without.",
            )

    def clean_supplier(self):
        name = self.cleaned_data["supplier"]
        return self.lookup.supplier(name) if name else ""

    def clean_place(self):
        name = self.cleaned_data["place"]
        return self.lookup.place(name) if name else None

    @property
    def fit(self):
        """Whether every cell of it was understood."""
        known = self.sort != "item" or self.card is not None
        return known and not self.errors and all(self.row.words.values())

    def new_extra(self):
        facts = self.cleaned_data
        by = facts["shared_by"] or ExtraCost.By.WEIGHT
        return NewExtra(
            kind=facts["extra"],
            amount=facts["extra_amount"],
            by=by,
            currency=facts["extra_currency"],
            rate=facts["extra_rate"],
        )
