"""A supplier's document of a fragrance, as it is printed: percent and degrees."""

import re
from decimal import Decimal

from django import forms

from production.pages.forms.deed import DeedForm, RowForm
from production.pages.forms.fields import DayField, PercentField, faulted
from production.quantities.domain.number_text import read_number
from production.quantities.domain.numbers import plain
from production.quantities.domain.percent_text import ANY

_DEGREES = re.compile(
    r"(?P<number>[^A-Za-z]+?)\s*\N{DEGREE SIGN}?\s*(?P<scale>[CF]?)", re.IGNORECASE
)


class DegreesField(forms.CharField):
    """``93``, ``93 C`` or ``200 F``; cleans to degrees Celsius."""

    def __init__(self, **kwargs):
        kwargs.setdefault("widget", forms.TextInput(attrs={"inputmode": "text"}))
        super().__init__(max_length=20, **kwargs)

    def prepare_value(self, value):
        return plain(value) if isinstance(value, Decimal) else value

    def clean(self, value):
        text = super().clean(value)
        if not text:
            return None
        found = _DEGREES.fullmatch(text.strip())
        if found is None:
            raise forms.ValidationError(f"{text} is no temperature. Write 93 or 200 F.")
        with faulted():
            number = read_number(found["number"])
        if found["scale"].upper() == "F":
            number = (number - 32) * 5 / 9
        if not -50 <= number <= 400:
            raise forms.ValidationError(f"{text} is not likely: read it once more.")
        return round(number, 1)


class ConstituentRow(RowForm):
    tells = ("name", "share")
    name = forms.CharField(label="Constituent", required=False, max_length=160)
    share = PercentField(asked_up_to=ANY, label="Of the fragrance, %", required=False)

    def clean(self):
        facts = super().clean()
        if facts.get("name") and facts.get("share") is None and not self.errors:
            self.add_error("share", "Write how many percent, or leave the row empty.")
        if facts.get("share") is not None and not facts.get("name"):
            self.add_error("name", "Write what it is, as the document names it.")
        return facts


class DocumentForm(DeedForm):
    row_sets = {"constituents": (ConstituentRow, "What it holds, as listed")}
    after_rows = ()
    edition = forms.CharField(
        label="Version of the document",
        max_length=80,
        help_text="As printed on it: a number, a revision, a date.",
    )
    dated = DayField(label="Dated", required=False)
    flash_point = DegreesField(
        label="Flash point, \N{DEGREE SIGN}C",
        required=False,
        help_text="Section 9 of its safety data sheet; 200 F is read, too.",
    )
    most = PercentField(
        asked_up_to=ANY,
        label="At most, % of what is rinsed off",
        required=False,
        help_text="Of the finished soap, for soap and other wash products.",
    )
    vanillin = PercentField(
        asked_up_to=ANY,
        label="Vanillin, % of the fragrance",
        required=False,
        help_text="With ethyl vanillin. 0 where the supplier says it holds none.",
    )
    no_allergens = forms.BooleanField(
        label="It says that it holds no allergen to be named",
        required=False,
        help_text="Only where the supplier writes so: an empty list says nothing.",
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["on"].label = "Noted on"
        # The document says it.
        del self.fields["reason"]

    def clean(self):
        facts = super().clean()
        seen = set()
        for row in self._written():
            name = " ".join(row.cleaned_data["name"].split())
            if name.casefold() in seen:
                says = f"{name} is written twice. Keep the right row."
                row.add_error("name", says)
                self.add_error(None, says)
            seen.add(name.casefold())
        return facts

    def _written(self):
        """Rows of which both halves are there."""
        every = [row for row in self.rows["constituents"] if row.is_valid()]
        return [row for row in every if row.cleaned_data.get("name")]

    def arguments(self):
        rows = [row.cleaned_data for row in self._written()]
        held = {row["name"]: row["share"] for row in rows}
        return {**super().arguments(), "constituents": held}


class SameDocumentForm(DeedForm):
    """Nothing of the document is typed again: only that the lot is of this edition."""

    after_rows = ()
    named = forms.BooleanField(
        label="The paper of this lot names this version",
        error_messages={
            "required": "Look at the paper that came with this lot, and tick this "
            "where it names the version. Where it does not, write its own document."
        },
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["on"].label = "Looked at on"
        del self.fields["reason"]

    def arguments(self):
        given = super().arguments()
        del given["named"]
        return given


class StrengthForm(forms.Form):
    """At which share it would be used, and how warm the soap is then."""

    share = PercentField(asked_up_to=ANY, label="Share of the finished soap, %")
    warmth = DegreesField(
        label="Soap when it goes in, \N{DEGREE SIGN}C", required=False
    )


def as_printed(document):
    """A document in force as the first values of the next edition."""
    if document is None:
        return {}, []
    first = {
        "flash_point": document.flash_point,
        "vanillin": document.vanillin,
        "most": document.most,
        "no_allergens": document.no_allergens,
    }
    rows = [
        {"name": name, "share": share} for name, share in document.constituents.items()
    ]
    return first, rows
