"""Which lot is traced."""

from django import forms


class TraceForm(forms.Form):
    lot = forms.CharField(
        label="Lot code or batch no.",
        max_length=120,
        help_text="Or the supplier's lot, an invoice, a name.",
        widget=forms.TextInput(attrs={"list": "lots"}),
    )
