"""Which month is closed."""

from datetime import date

from django import forms

from production.pages.forms.deed import DeedForm


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
