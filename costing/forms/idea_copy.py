"""The name of a copy, and whether it is a variant."""

from django import forms

from costing.forms.idea_told import free_name


class CopyIdeaForm(forms.Form):
    name = forms.CharField(max_length=120, label="What the copy is to be called")
    variant = forms.BooleanField(
        label="A variant: laid beside this one", required=False, initial=True
    )

    def clean_name(self):
        return free_name(self.cleaned_data["name"])

    def arguments(self):
        return dict(self.cleaned_data)

    def forget_what_is_missing(self):
        """It is never only looked at."""
