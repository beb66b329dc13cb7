"""What a sum at the bench looks like: a few fields, and an answer with its working."""

import re
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from django import forms
from django.core.exceptions import ValidationError

from production.contents.reads.reweighing import soap_content
from production.pages.forms.fields import AmountField, PercentField
from production.quantities.domain.numbers import as_weighed, grouped, plain
from production.quantities.domain.refusal import Refused
from production.record.reads.clock import today

TIMES, OVER, LESS = "\N{MULTIPLICATION SIGN}", "\N{DIVISION SIGN}", "\N{MINUS SIGN}"
PLACES = (1, 2, 3)
_MILLIGRAMS = re.compile(r"\b\d+\.\d{3}(?= g\b)")


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure of an answer: in ``unit``, or written out where that says it all."""

    name: str
    value: Decimal | None = None
    unit: str = "g"
    text: str = ""


@dataclass(frozen=True, slots=True)
class Answer:
    """The figures large, the working in a line, and what else has to be said.

    ``weigh`` is what goes in besides, as figures; ``readings`` tells apart what the
    typed figure may mean; ``caution`` is a sentence, or "lye" for the whole of it.
    """

    figures: list[Figure]
    working: str
    notes: list[str]
    remarks: tuple[str, ...] = ()
    weigh: tuple[Figure, ...] = ()
    readings: tuple["Reading", ...] = ()
    caution: str = ""


@dataclass(frozen=True, slots=True)
class Reading:
    """One way to read a strength; ``why`` says what is wrong where none comes out."""

    words: str
    strength: Decimal | None = None
    solute: Decimal | None = None
    water: Decimal | None = None
    why: str = ""


class SumForm(forms.Form):
    """One sum of the page: bound while it is in use, else it keeps what was typed.

    Each sum says with ``worked(facts)`` what its cleaned facts come to.
    """

    name = heading = about = ""
    use_required_attribute = False

    def __init__(self, query):
        self.in_use = query.get("sum") == self.name
        self.typed = [
            (key, query[key])
            for key in (f"{self.name}-{field}" for field in self.base_fields)
            if key in query
        ]
        kept = {key.removeprefix(f"{self.name}-"): value for key, value in self.typed}
        first = {n: f.initial for n, f in self.base_fields.items() if f.initial}
        data = None
        if self.in_use and kept:
            both = {**first, **kept}
            data = {f"{self.name}-{field}": value for field, value in both.items()}
        super().__init__(data, prefix=self.name, initial=kept)

    def carried(self):
        """What the other sums send along, so that nothing typed here is lost."""
        return [(key, value) for key, value in self.typed if value]

    def answer(self):
        """The answer, or None; a refusal stands at its field or above the form."""
        if not self.is_bound:
            return None
        if not self.is_valid():
            self._forget_what_no_one_sent()
            return None
        try:
            return self.worked(self.cleaned_data)
        except Refused as fault:
            self.add_error(None, at_the_bench(str(fault)))
        except ValidationError as fault:
            self.add_error(None, fault)
        return None

    def _forget_what_no_one_sent(self):
        """A link may fill in a part: the rest is not asked for yet."""
        for name in list(self.errors):
            if name != "__all__" and self.add_prefix(name) not in self.data:
                del self.errors[name]


def amount(label, **kwargs):
    kwargs.setdefault("required", False)
    return AmountField(label=label, unit="g", **kwargs)


def volume_too(label, help_text=""):
    """An amount that may be a volume: it is read once the density is known."""
    widget = forms.TextInput(attrs={"autocomplete": "off"})
    return AmountField(label=label, required=False, help_text=help_text, widget=widget)


def read_grams(form, name, density=None):
    """Grams of an amount, read with that density where a volume was typed."""
    typed = form.cleaned_data[name]
    if not isinstance(typed, str):
        return typed.grams_or_pieces
    try:
        return form.fields[name].read(typed, "g", density).grams_or_pieces
    except ValidationError as fault:
        raise ValidationError({name: fault}) from fault


def only_one(facts, names, sentence):
    """The one of these fields that was filled in; a fault at the field otherwise."""
    given = [name for name in names if facts.get(name) not in (None, "")]
    if len(given) != 1:
        raise ValidationError({given[-1] if given else names[0]: sentence})
    return given[0]


def content_of(form, name, lot_name):
    """The soap content typed, or that of the lot, and how it is known."""
    facts = form.cleaned_data
    asks = "Write a soap content or the code of a lot, one of the two."
    if only_one(facts, (name, lot_name), asks) == name:
        if not facts[name]:
            raise ValidationError({name: "Write a soap content above 0 %."})
        return facts[name], ""
    lot = facts[lot_name]
    known = soap_content(lot, today())
    if known is None:
        raise ValidationError(
            {
                lot_name: f"The soap content of {lot.code} is not in the book and "
                "cannot be worked out: write it instead of the code."
            }
        )
    said = f"{lot.item}, {lot.code}: {per_cent(known.share)} soap, {known.whence}."
    return known.share, said


class AdditionsMixin(forms.Form):
    """Up to three additions by name, each a share of the finished mass."""

    name_1 = forms.CharField(label="First addition", required=False, max_length=60)
    share_1 = PercentField(
        label="Its share, %", required=False, help_text="Of the finished mass."
    )
    name_2 = forms.CharField(label="Second addition", required=False, max_length=60)
    share_2 = PercentField(label="Its share, %", required=False)
    name_3 = forms.CharField(label="Third addition", required=False, max_length=60)
    share_3 = PercentField(label="Its share, %", required=False)

    def additions(self):
        """Shares by name, in the order typed; one without a name gets one."""
        found = {}
        for place in PLACES:
            share = self.cleaned_data[f"share_{place}"]
            name = self.cleaned_data[f"name_{place}"]
            if not share and name:
                asks = f"Write the share of {name}, or take its name out."
                raise ValidationError({f"share_{place}": asks})
            if not share:
                continue
            name = name or f"addition {place}"
            if name in found:
                asks = f"{name} is there twice: add the two shares up."
                raise ValidationError({f"name_{place}": asks})
            found[name] = share
        return found

    def plain_fields(self):
        return [f for f in self if not f.name.startswith(("name_", "share_"))]

    def addition_fields(self):
        return [f for f in self if f.name.startswith(("name_", "share_"))]

    def additions_open(self):
        """Whether something stands or is faulted there, so that they are unfolded."""
        return any(f.value() or f.errors for f in self.addition_fields())


def shown(value, unit="g"):
    """A figure in a line of text: to 0.1 from 100 up, to 0.01 below."""
    return f"{grouped(as_weighed(value))} {unit}".strip()


def per_cent(fraction, places=1):
    """A share in percent, in a line of text."""
    return f"{hundred(fraction, places)} %"


def hundred(fraction, places=1):
    """The number of that percentage alone."""
    step = Decimal(1).scaleb(-places)
    return plain((fraction * 100).quantize(step, ROUND_HALF_UP))


def to_place(value, places):
    """So many places, half up, without needless zeros."""
    return plain(value.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP))


def at_the_bench(sentence):
    """A sentence of the domain with its grams as a balance shows them."""
    said = _MILLIGRAMS.sub(lambda found: shown(Decimal(found[0]), ""), sentence)
    return said.replace("degC", "°C")
