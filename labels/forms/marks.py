"""The maker's own mark, as it is sent."""

from django import forms

from production.pages.forms.fields import faulted
from production.quantities.domain.refusal import Refused


class MarkForm(forms.Form):
    """``read`` makes a kept paper of what a browser sent."""

    file = forms.FileField(
        required=False,
        # Refused in our own words.
        allow_empty_file=True,
        widget=forms.FileInput(attrs={"accept": ".svg,.png"}),
        help_text="SVG, or PNG of at least 300 dots an inch as printed; best black.",
    )
    none = forms.BooleanField(label="no mark from now on", required=False)

    def __init__(self, *args, read, **kwargs):
        super().__init__(*args, **kwargs)
        self.read = read

    def clean(self):
        facts = super().clean()
        sent, none = facts.get("file"), facts.pop("none", False)
        with faulted():
            if none:
                facts["file"] = None
            elif sent is None:
                raise Refused(
                    "Choose the file of the mark, or tick that there is none."
                )
            else:
                facts["file"] = self.read(sent)
        return facts

    def arguments(self):
        return self.cleaned_data
