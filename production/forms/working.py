"""Hours at a rate, in rows."""

from django import forms

from production import actions
from production.domain.refusal import Refused
from production.forms.deed import DeedForm, RowForm
from production.forms.fields import MoneyField, NumberField
from production.models import Work


class WorkRow(RowForm):
    tells = ("hours", "rate")
    kind = forms.ChoiceField(choices=Work.Kind)
    hours = NumberField(places=4)
    rate = MoneyField(label="Rate for an hour")

    def work(self):
        facts = self.cleaned_data
        return actions.NewWork(
            kind=facts["kind"], hours=facts["hours"], rate=facts["rate"]
        )


def work_of(form):
    return [row.work() for row in form.rows["work"].written()]


class WorkForm(DeedForm):
    row_sets = {"work": (WorkRow, "Hours")}
    spare_rows = 2

    def arguments(self):
        if not (work := work_of(self)):
            raise Refused("Write the hours and their rate.")
        return {**super().arguments(), "work": work}
