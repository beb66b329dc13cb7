"""Hours at a rate, in rows."""

from decimal import Decimal

from django import forms
from django.core.exceptions import ValidationError

from production.pages.forms.deed import DeedForm, RowForm
from production.pages.forms.fields import MoneyField, NumberField
from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused
from production.stock.models.batches import Work
from production.yields.domain.hours_and_losses import NewWork

DAY = Decimal(24)


class HoursField(NumberField):
    """Hours of one line; more than a day has are hardly hours."""

    def __init__(self, **kwargs):
        super().__init__(places=4, **kwargs)

    def clean(self, value):
        hours = super().clean(value)
        if hours is not None and hours > DAY:
            asked = plain(hours)
            raise ValidationError(
                f"{asked} hours are more than a day has. Are {asked} minutes meant? "
                f"Then write {plain(round(hours / 60, 4))}; else write several lines."
            )
        return hours


class WorkRow(RowForm):
    tells = ("hours", "rate")
    kind = forms.ChoiceField(choices=Work.Kind)
    hours = HoursField()
    rate = MoneyField(label="Rate for an hour")

    def work(self):
        facts = self.cleaned_data
        return NewWork(kind=facts["kind"], hours=facts["hours"], rate=facts["rate"])


def work_of(form):
    return [row.work() for row in form.rows["work"].written()]


class WorkForm(DeedForm):
    row_sets = {"work": (WorkRow, "Hours")}
    spare_rows = 2

    def arguments(self):
        if not (work := work_of(self)):
            raise Refused("Write the hours and their rate.")
        return {**super().arguments(), "work": work}
