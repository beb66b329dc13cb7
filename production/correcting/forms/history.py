"""Mending the book in the open, and closing a month of it."""

from datetime import date

from django import forms

from production.lots.forms import LotForm
from production.pages.forms.deed import DeedForm
from production.pages.forms.fields import AmountField, DayField


class ReasonForm(DeedForm):
    reason_asked = True


class TakingBackForm(ReasonForm):
    """A whole deed; the tick is asked only where later deeds rest on it."""

    along = forms.BooleanField(
        label="Take these back with it, the newest first", required=False
    )

    def __init__(self, *args, later, **kwargs):
        super().__init__(*args, **kwargs)
        if not later:
            del self.fields["along"]


class CorrectionForm(LotForm):
    reason_asked = True
    amount = AmountField(label="The right amount")
    moved_to = DayField(
        label="The right day", required=False, help_text="Left empty, the day stays."
    )

    def __init__(self, *args, movement, **kwargs):
        super().__init__(*args, lot=movement.lot, **kwargs)


class ClosingForm(DeedForm):
    """Offers whole months; ``through`` is the last day of the one that is chosen."""

    through = forms.TypedChoiceField(
        label="Close through the end of",
        coerce=date.fromisoformat,
        help_text="With it all months before that are still open.",
    )

    def __init__(self, *args, months, initial=None, **kwargs):
        super().__init__(*args, initial=initial, **kwargs)
        self.fields["through"].choices = [
            (day.isoformat(), f"{day:%Y-%m}, which ends on {day:%Y-%m-%d}")
            for day in months
        ]


class TraceForm(forms.Form):
    lot = forms.CharField(
        label="Lot code or batch no.",
        max_length=120,
        help_text="Or the supplier's lot, an invoice, a name.",
        widget=forms.TextInput(attrs={"list": "lots"}),
    )
