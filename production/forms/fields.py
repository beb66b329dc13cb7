"""What people type at the bench, read as the book needs it."""

import re
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation

from django import forms
from django.core.exceptions import ValidationError
from django.urls import reverse_lazy

from production.domain.code_shape import fault_of
from production.domain.floors import without_floor
from production.domain.numbers import money, plain, too_far
from production.domain.odd_dates import refuse_far
from production.domain.refusal import Refused
from production.domain.units import Amount, read_amount
from production.models import Item, Workshop
from production.reads import lookup

_ZERO = re.compile(r"0+([.,]0+)?\s*(g|kg|oz|lb|pcs?|pieces?)?", re.IGNORECASE)
_TWO_READINGS = re.compile(r"-?[1-9]\d{0,2},\d{3}")
_CURRENCY = re.compile(r"(?=.*[A-Za-z])([A-Za-z]{3})?\s*([^A-Za-z]+?)\s*([A-Za-z]{3})?")


def echoed(name, **attrs):
    """A text box whose content is read back at once, where scripts may run."""
    return forms.TextInput(
        attrs={
            "hx-get": reverse_lazy(name),
            "hx-trigger": "change",
            "hx-include": "closest .together",
            "hx-target": "next .echo",
            **attrs,
        }
    )


class AmountField(forms.CharField):
    """``2 lb 3 oz``, ``1.5 kg``, ``250*12``.

    With a unit it cleans to an Amount; without one the text waits for the form, which
    learns from the lot what is measured and how dense it is.
    """

    def __init__(self, *, unit=None, zero=False, **kwargs):
        self.unit, self.zero = unit, zero
        kwargs.setdefault("widget", echoed("echo-amount", inputmode="text"))
        super().__init__(max_length=60, **kwargs)

    def clean(self, value):
        text = super().clean(value)
        if not text or self.unit is None:
            return text
        return self.read(text, self.unit)

    def read(self, text, unit="g", density=None):
        if self.zero and _ZERO.fullmatch(text):
            return Amount(Decimal(0), text)
        try:
            return read_amount(text, density=density, unit=unit)
        except Refused as fault:
            raise ValidationError(str(fault)) from fault


def understand(form, name, item):
    """Turn the text of an amount into an Amount of this item, or fault the field."""
    text = form.cleaned_data.get(name)
    if not text or item is None or isinstance(text, Amount):
        return
    try:
        read = form.fields[name].read(text, item.unit, item.density)
    except ValidationError as fault:
        form.add_error(name, fault)
    else:
        form.cleaned_data[name] = read


def read_number(text):
    """``1,234.5`` or ``12,5``; refused where a comma can be read in two ways."""
    text = re.sub(r"[\s$€£]", "", text).replace("\u2212", "-")
    if _TWO_READINGS.fullmatch(text):
        whole, part = text.replace(",", ""), text.replace(",", ".")
        raise ValidationError(
            f"{text} can be read in two ways. Write {whole} or {part}."
        )
    if text.count(",") == 1 and "." not in text:
        text = text.replace(",", ".")
    try:
        number = Decimal(text.replace(",", ""))
    except InvalidOperation:
        number = None
    if number is None or too_far(number):
        raise ValidationError(f"{text} is not a number. Write one, such as 12.50.")
    return number


class NumberField(forms.CharField):
    """A plain number to so many places; below zero only where that has a meaning."""

    largest = Decimal(10) ** 9

    def __init__(self, *, places=6, signed=False, **kwargs):
        self.places, self.signed = places, signed
        kwargs.setdefault("widget", forms.TextInput(attrs={"inputmode": "decimal"}))
        super().__init__(max_length=30, **kwargs)

    def clean(self, value):
        text = super().clean(value)
        if not text:
            return None
        number = read_number(text)
        if number < 0 and not self.signed:
            raise ValidationError(f"{text} is below zero: write it without the minus.")
        if abs(number) > self.largest:
            raise ValidationError(f"{text} is too large to be meant.")
        if number != number.quantize(Decimal(1).scaleb(-self.places)):
            raise ValidationError(f"{text} is finer than {self.places} places.")
        return number


class MoneyField(NumberField):
    """Money of the workshop's one currency, to 4 places; its code may stand beside."""

    def __init__(self, **kwargs):
        super().__init__(places=4, **kwargs)

    def clean(self, value):
        number = super().clean(_without_currency(value))
        return None if number is None else money(number)


def _without_currency(value):
    """``12.50 USD`` as the pages print it; another currency is no price here."""
    found = _CURRENCY.fullmatch(value.strip()) if isinstance(value, str) else None
    if found is None:
        return value
    before, figure, after = found.groups()
    own = Workshop.objects.values_list("currency", flat=True).first() or "USD"
    if {code.upper() for code in (before, after) if code} - {own}:
        raise ValidationError(
            f"{value.strip()}: this book is kept in {own}. Write what it is in {own}."
        )
    return figure


class PercentField(forms.CharField):
    """Typed in percent, kept as a fraction; a small bare number is asked about."""

    def __init__(self, *, signed=False, high=False, **kwargs):
        self.signed, self.high = signed, high
        kwargs.setdefault("widget", forms.TextInput(attrs={"inputmode": "decimal"}))
        super().__init__(max_length=20, **kwargs)

    def prepare_value(self, value):
        if not isinstance(value, Decimal):
            return value
        # With its sign where the field would ask back what is meant.
        sign = " %" if 0 < abs(value * 100) <= 1 else ""
        return plain(value * 100) + sign

    def clean(self, value):
        text = super().clean(value)
        if not text:
            return None
        number = read_number(text.replace("%", ""))
        self._ask(text, number)
        if number < 0 and not self.signed:
            raise ValidationError(f"{text} is below zero: write it without the minus.")
        if not -100 <= number <= 100:
            raise ValidationError(f"{text} is more than the whole. Write 0 to 100 %.")
        if number != number.quantize(Decimal("0.000001")):
            raise ValidationError(f"{text} is finer than 0.000001 %.")
        return number / 100

    def _ask(self, text, number):
        most = Decimal(1) if self.high else Decimal("0.99999999")
        if "%" not in text and 0 < abs(number) <= most:
            raise ValidationError(
                f"Is {plain(number)} % meant, or {plain(number * 100)} %? "
                "Write it with the sign."
            )


@dataclass(frozen=True)
class Share:
    """A share as a drum or a certificate says it; ``floor`` where it is a minimum."""

    value: Decimal
    floor: bool = False

    @property
    def basis(self):
        return "minimum" if self.floor else "stated"


class FloorPercentField(PercentField):
    """``89.9 %``, or ``min. 85 %`` where only a floor is known."""

    def clean(self, value):
        text, floor = without_floor(str(value or ""))
        share = super().clean(text)
        return None if share is None else Share(share, floor)


class CodeField(forms.CharField):
    """A code or mark that somebody gives; the book gives one where it is left open."""

    def __init__(self, **kwargs):
        super().__init__(required=False, **kwargs)

    def clean(self, value):
        text = super().clean(value)
        if text and (says := fault_of(text)):
            raise ValidationError(says)
        return text


def find_lot(text):
    """The lot of a typed code, or a fault that stands beside the field."""
    try:
        return lookup.find_lot(text)
    except Refused as refusal:
        raise ValidationError(str(refusal)) from refusal


class LotField(forms.CharField):
    """A lot by its code, the supplier's lot or the invoice; its name is shown back."""

    def __init__(self, **kwargs):
        kwargs.setdefault("label", "Lot")
        kwargs.setdefault("widget", echoed("echo-lot", list="lots"))
        super().__init__(max_length=80, **kwargs)

    def clean(self, value):
        text = super().clean(value)
        return find_lot(text) if text else None


# The boxes in which the tub of each alkali is typed.
TUBS = {"KOH": "alkali_lot", "NaOH": "soda_lot"}


class SourceField(LotField):
    """A lot, or an item that is on tap."""

    def clean(self, value):
        text = forms.CharField.clean(self, value)
        if not text:
            return None
        tap = Item.objects.filter(name__iexact=text, on_tap=True).first()
        return tap or find_lot(text)


class Choice(forms.ModelChoiceField):
    """One row of a table; an empty answer says so in a word."""

    # In rows: what was chosen in any of them, read once for all.
    known = None

    def __init__(self, *args, empty_label="none", **kwargs):
        super().__init__(*args, empty_label=empty_label, **kwargs)

    def to_python(self, value):
        if self.known is not None and value not in self.empty_values:
            if str(value) in self.known:
                return self.known[str(value)]
            raise ValidationError(
                self.error_messages["invalid_choice"],
                code="invalid_choice",
                params={"value": value},
            )
        return super().to_python(value)


class DayField(forms.DateField):
    """A day on which something was done or is due, with the browser's own calendar."""

    def __init__(self, **kwargs):
        kwargs.setdefault(
            "widget", forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})
        )
        kwargs.setdefault("error_messages", {"invalid": "Write a day like 2026-01-31."})
        super().__init__(**kwargs)

    def clean(self, value):
        day = super().clean(value)
        if day is not None:
            try:
                refuse_far(day)
            except Refused as fault:
                raise ValidationError(str(fault)) from fault
        return day
