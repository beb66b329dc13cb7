"""Which two lots are laid beside each other."""

from django import forms


class PairForm(forms.Form):
    earlier = forms.ChoiceField(label="From lot")
    later = forms.ChoiceField(label="To lot")

    def __init__(self, data, *, lots):
        super().__init__(data)
        choices = [(lot.code, lot.code) for lot in lots]
        for field in self.fields.values():
            field.choices = choices
