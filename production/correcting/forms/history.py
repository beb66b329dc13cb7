"""Mending the book in the open, and closing a month of it."""

from django import forms

from production.pages.forms.fields import AmountField, DayField
from production.pages.forms.reason import ReasonForm
from production.stock.forms.lots import LotForm


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
