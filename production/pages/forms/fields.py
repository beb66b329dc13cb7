"""What people type at the bench, read as the book needs it."""

from contextlib import contextmanager
from dataclasses import dataclass
from decimal import Decimal

from django import forms
from django.core.exceptions import ValidationError
from django.urls import reverse_lazy

from production.quantities.domain.code_shape import fault_of
from production.quantities.domain.density import refuse_odd_density, without_unit
from production.quantities.domain.floors import without_floor
from production.quantities.domain.money_text import read_money, says_more
from production.quantities.domain.number_text import one_reading, read_number
from production.quantities.domain.numbers import money, plain
from production.quantities.domain.percent_text import (
    HIGH,
    USUAL,
    WHOLE,
    in_percent,
    read_percent,
)
from production.quantities.domain.refusal import Refused
from production.quantities.domain.units import Amount, read_amount
from production.record.domain.odd_dates import refuse_far
from production.record.models.workshop import Workshop


@contextmanager
def faulted():
    """A refusal of the domain, told beside the field."""
    try:
        yield
    except Refused as fault:
        raise ValidationError(str(fault)) from fault


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

    def prepare_value(self, value):
        return plain(value) if isinstance(value, Decimal) else value

    def clean(self, value):
        text = super().clean(value)
        if not text or self.unit is None:
            return text
        return self.read(text, self.unit)

    def read(self, text, unit="g", density=None):
        with faulted():
            return read_amount(text, density=density, unit=unit, zero=self.zero)


def parse_amount(form, name, item):
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


def typed_in(form, name):
    """What stands in a box, read before its form is; None where it cannot be."""
    text = form[name].value()
    try:
        return form.fields[name].clean(text) if text else None
    except ValidationError:
        return None


class NumberField(forms.CharField):
    """A plain number to so many places; below zero only where that has a meaning.

    ``measured``: ``1.234`` is hardly 1234, as of money, pieces and mPa·s it may be.
    """

    largest = Decimal(10) ** 9

    def __init__(self, *, places=6, signed=False, measured=True, **kwargs):
        self.places, self.signed = places, signed
        self.measured = measured and places > 0
        kwargs.setdefault("widget", forms.TextInput(attrs={"inputmode": "decimal"}))
        super().__init__(max_length=30, **kwargs)

    def prepare_value(self, value):
        if not isinstance(value, Decimal):
            return value
        return plain(value) if self.measured else one_reading(value)

    def read(self, text):
        return read_number(text, measured=self.measured)

    def clean(self, value):
        text = super().clean(value)
        if not text:
            return None
        with faulted():
            number = self.read(text)
        if number < 0 and not self.signed:
            raise ValidationError(f"{text} is below zero: write it without the minus.")
        if abs(number) > self.largest:
            raise ValidationError(f"{text} is too large to be meant.")
        if number != number.quantize(Decimal(1).scaleb(-self.places)):
            raise ValidationError(f"{text} is finer than {self.places} places.")
        return number


class DensityField(NumberField):
    """Grams of one mL to 4 places, its unit beside it or not."""

    def __init__(self, **kwargs):
        super().__init__(places=4, **kwargs)

    def read(self, text):
        return read_number(without_unit(text))

    def clean(self, value):
        number = super().clean(value)
        if number is not None:
            with faulted():
                refuse_odd_density(number)
        return number


class KilowattField(NumberField):
    """What something draws in kW to 3 places: ``2``, ``2 kW``, or ``350 W``."""

    def __init__(self, **kwargs):
        super().__init__(places=3, **kwargs)

    def read(self, text):
        bare = text.strip()
        if bare[-1:] not in ("w", "W"):
            return super().read(bare)
        bare = bare[:-1]
        if bare[-1:] in ("k", "K"):
            return super().read(bare[:-1])
        return super().read(bare) / 1000


class MoneyField(NumberField):
    """Money to 4 places; its currency may stand beside it, another is refused.

    ``currency`` is that of the invoice where it has its own, else the workshop's;
    ``of`` says what it is the price of.
    """

    currency, mend = "", ""

    def __init__(self, *, of="all of it", **kwargs):
        self.of = of
        super().__init__(places=4, measured=False, **kwargs)

    def read(self, text):
        if not says_more(text):
            return super().read(text)
        if self.currency:
            whose = "this bill is"
            return read_money(text, self.currency, whose, self.mend, self.of)
        own = Workshop.objects.values_list("currency", flat=True).first()
        return read_money(text, own or "USD", of=self.of)

    def clean(self, value):
        number = super().clean(value)
        return None if number is None else money(number)


def in_currency(form, currency):
    """Every sum of the form is in this currency, where one is named."""
    for field in form.fields.values():
        if isinstance(field, MoneyField):
            field.currency = (currency or "").strip().upper()


class PercentField(forms.CharField):
    """Typed in percent, kept as a fraction; what is improbable is asked about.

    ``asked_up_to`` percent a bare number is; ``high``: where small ones are rare.
    ``most`` percent are taken: more than the whole where a price grows.
    """

    def __init__(
        self, *, signed=False, high=False, asked_up_to=USUAL, most=WHOLE, **kwargs
    ):
        self.signed, self.asked_up_to = signed, HIGH if high else asked_up_to
        self.most = most
        kwargs.setdefault("widget", forms.TextInput(attrs={"inputmode": "decimal"}))
        super().__init__(max_length=20, **kwargs)

    def prepare_value(self, value):
        if not isinstance(value, Decimal):
            return value
        return in_percent(value, self.asked_up_to)

    def clean(self, value):
        text = super().clean(value)
        if not text:
            return None
        with faulted():
            return read_percent(
                text, signed=self.signed, asked_up_to=self.asked_up_to, most=self.most
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


# The boxes in which the tub of each alkali is typed.
CHOOSE = ("", "choose")
TUBS = {"KOH": "alkali_lot", "NaOH": "soda_lot"}


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
            with faulted():
                refuse_far(day)
        return day
