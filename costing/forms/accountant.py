"""The period of the accountant's files, and his codes of our accounts."""

from django import forms

from costing.domain.accounts import ACCOUNTS
from costing.files.year_file import METHODS
from costing.reads.accounts import codes_of
from production.pages.forms.fields import DayField
from production.record.reads.clock import today

WORDS = {
    "lots": "lots as taken",
    "fifo": "first in, first out",
    "average": "moving average",
    "card": "kind by kind",
}


class PeriodForm(forms.Form):
    """Asked by GET; what is left out goes by the year so far."""

    since = DayField(label="From", required=False)
    to = DayField(label="Through", required=False)
    method = forms.ChoiceField(
        label="Stock is valued",
        choices=[(name, WORDS[name]) for name in METHODS],
    )

    def clean_to(self):
        return self.cleaned_data["to"] or today()


class CodesForm(forms.Form):
    """A box for each account; ``missing`` ones stand first."""

    def __init__(self, data=None):
        super().__init__(data)
        codes = codes_of()
        for account in sorted(ACCOUNTS, key=lambda one: one in codes):
            words = ACCOUNTS[account]
            self.fields[account] = forms.CharField(
                label=words[0].upper() + words[1:],
                max_length=20,
                required=False,
                initial=codes.get(account, ""),
            )

    def arguments(self):
        return self.cleaned_data
