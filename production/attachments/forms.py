"""A file that is put beside a lot, a batch or a purchase."""

from django import forms

from production.pages.forms.deed import DeedForm
from production.pages.forms.fields import faulted
from production.papers.domain.papers import TYPES, clean_name, read_paper, refuse_size


def paper_of(sent):
    """What a browser sent, once it is of a size and kind that is kept."""
    with faulted():
        refuse_size(clean_name(sent.name), sent.size)
        return read_paper(sent.name, sent.read())


class AttachForm(DeedForm):
    file = forms.FileField(
        # Refused in our own words.
        allow_empty_file=True,
        widget=forms.FileInput(attrs={"accept": ",".join(f".{end}" for end in TYPES)}),
        help_text="PDF, JPEG, PNG, WebP, plain text or CSV, at most 10 MB.",
    )
    note = forms.CharField(
        required=False,
        max_length=200,
        help_text="What it shows, as certificate of analysis.",
    )
    after_rows = ()

    def __init__(self, data=None, files=None):
        super().__init__(data)
        self.files = files or {}
        # The note says it.
        del self.fields["reason"]

    def clean_file(self):
        return paper_of(self.cleaned_data["file"])

    def clean(self):
        facts = super().clean()
        if self.errors and "file" in facts:
            self.add_error(
                "file", "Choose the file once more: a browser does not keep it."
            )
        return facts
