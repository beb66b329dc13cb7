"""The names of an item that is several things, in a few rows."""

from django import forms

from production.pages.forms.deed import RowForm, RowsMixin
from production.pages.forms.fields import PercentField
from production.quantities.domain.percent_text import ANY


class PartRow(RowForm):
    tells = ("name", "share")
    name = forms.CharField(label="Label name (INCI)", required=False, max_length=160)
    share = PercentField(asked_up_to=ANY, label="Of the item, %", required=False)

    def clean(self):
        facts = super().clean()
        if facts.get("name") and facts.get("share") is None and not self.errors:
            self.add_error("share", "Write how many percent, or leave the row empty.")
        if facts.get("share") is not None and not facts.get("name"):
            self.add_error("name", "Write its name as a label has it.")
        return facts


class MixtureForm(RowsMixin, forms.Form):
    row_sets = {"parts": (PartRow, "")}
    spare_rows = 3

    def __init__(self, data=None, *, rows=None):
        super().__init__(data)
        self.set_rows(data, rows)

    def clean(self):
        facts = super().clean()
        seen = set()
        for row in self._written():
            name = " ".join(row.cleaned_data["name"].split()).casefold()
            if name in seen:
                row.add_error("name", "It stands twice: keep one row.")
                self.add_error(None, "One name stands twice.")
            seen.add(name)
        return facts

    def _written(self):
        every = [row for row in self.rows["parts"] if row.is_valid()]
        return [row for row in every if row.cleaned_data.get("name")]

    def arguments(self):
        rows = [row.cleaned_data for row in self._written()]
        return {"parts": {row["name"]: row["share"] for row in rows}}
