"""Rolls, and several lots on one sheet."""

from decimal import Decimal

from django import forms

from labels.domain.sheets import ensure_places, plain_sheet, roll
from labels.models import NUMBERS
from production.pages.forms.fields import NumberField, faulted


class RollForm(forms.Form):
    """A roll: one label a page."""

    width = NumberField(label="Label width, mm", places=2)
    height = NumberField(label="Label height, mm", places=2)
    gap = NumberField(
        label="Gap between two labels, mm",
        places=2,
        required=False,
        help_text="Empty where the printer finds the next label by itself.",
    )

    def clean(self):
        facts = super().clean()
        if not self.errors:
            with faulted():
                gap = facts["gap"] or Decimal(0)
                facts["roll"] = roll(facts["width"], facts["height"], gap)
        return facts

    def arguments(self):
        made = self.cleaned_data["roll"]
        return {name: getattr(made, name) for name in NUMBERS}


class LotsForm(forms.Form):
    """Several lots on the sheets of one kind, one behind the other."""

    lots = forms.CharField(
        label="Lots and how many labels",
        widget=forms.Textarea(attrs={"rows": 6}),
        help_text="One lot a line: its code, a space, how many. A pair counts once.",
    )
    start = forms.IntegerField(
        label="First free label on the sheet",
        min_value=1,
        initial=1,
        help_text="Counted along the rows.",
    )

    def clean_lots(self):
        """Pairs of what was written for a lot and how many."""
        asked = []
        for number, line in enumerate(self.cleaned_data["lots"].splitlines(), 1):
            if not line.strip():
                continue
            code, _, count = line.strip().rpartition(" ")
            if not code or not count.isascii() or not count.isdigit() or not int(count):
                raise forms.ValidationError(
                    f"Line {number}, {line.strip()}: write the code of a lot, a space "
                    "and how many, such as TIDE-8OZ-1 12."
                )
            asked.append((code.strip(), int(count)))
        return asked


class StickOverForm(forms.Form):
    """A small label over what already stands on the bottle."""

    words = forms.CharField(
        label="Corrected text",
        required=False,
        max_length=400,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Empty for the batch number and the date alone.",
    )
    width = NumberField(label="Width, mm", places=2)
    height = NumberField(label="Height, mm", places=2)
    labels = forms.IntegerField(label="How many", min_value=1)
    start = forms.IntegerField(
        label="First free label on the sheet",
        min_value=1,
        help_text="Counted along the rows.",
    )

    def __init__(self, asked, *, paper):
        first = {"width": "40", "height": "15", "labels": 1, "start": 1}
        super().__init__({**first, **asked.dict()})
        self.paper = paper

    def clean(self):
        facts = super().clean()
        if not self.errors:
            with faulted():
                size = facts["width"], facts["height"]
                facts["geometry"] = geometry = plain_sheet(self.paper, *size)
                ensure_places(geometry, facts["labels"], facts["start"])
        return facts
