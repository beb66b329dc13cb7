"""Samples of one soap at the bench, and the looks at them."""

import re

from django import forms

from production import actions
from production.domain.percent_text import ANY, read_percent
from production.forms.attachments import paper_of
from production.forms.deed import DeedForm, RowForm, released_lots
from production.forms.fields import AmountField, Choice, faulted
from production.forms.places import standing_place
from production.forms.scents import GRAMS_MADE, SoapField
from production.models import Item, Step

PICTURES = (".jpg", ".jpeg", ".png", ".webp")
WORDS = "Leave a space between the shares: 0.5 1 1.5."


def read_shares(text):
    """``0.5 1 1.5`` or ``0,5; 1; 1,5`` in percent, as fractions."""
    tokens = re.split(r"[;\s%]+|,(?=\s|$)", text.strip().strip("%,;"))
    found = []
    for token in filter(None, tokens):
        if re.fullmatch(r"\d+,\d+", token) and not token.startswith("0,"):
            raise forms.ValidationError(f"{token} can be read in two ways. {WORDS}")
        many = token.split(",") if "." in token or token.count(",") > 1 else [token]
        found += [_share(part) for part in many if part]
    if not found:
        raise forms.ValidationError(WORDS)
    return found


def _share(token):
    with faulted():
        share = read_percent(token, asked_up_to=ANY)
    if share == 1:
        raise forms.ValidationError(f"{token} % is not from 0 up to less than 100 %.")
    return share


class SharesField(forms.CharField):
    """Rising shares of the finished sample, in percent."""

    def __init__(self, **kwargs):
        super().__init__(max_length=120, **kwargs)

    def clean(self, value):
        text = super().clean(value)
        return read_shares(text) if text else []


class AdditionRow(RowForm):
    tells = ("lot", "shares")
    lot = SoapField(label="Lot that goes in", required=False)
    shares = SharesField(label="% of the sample", required=False)

    def clean(self):
        facts = super().clean()
        if facts.get("lot") and not facts.get("shares") and not self.errors:
            self.add_error("shares", f"Write in which shares. {WORDS}")
        if facts.get("shares") and not facts.get("lot") and not self.errors:
            self.add_error("lot", "Say which lot: read its code.")
        return facts

    def new_addition(self):
        facts = self.cleaned_data
        place = standing_place(facts["lot"])
        return actions.NewAddition(facts["lot"], facts["shares"], place)


class SamplesForm(DeedForm):
    row_sets = {"additions": (AdditionRow, "What the samples take up")}
    spare_rows = 3
    folded = ("item", "reason")
    soap = SoapField(label="Soap, lot")
    soap_each = AmountField(
        label="Soap in each sample", unit="g", help_text="100 g is enough to see by."
    )
    item = Choice(
        Item.objects.filter(**GRAMS_MADE),
        label="Samples of",
        required=False,
        empty_label="what it usually becomes",
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["on"].label = "Day"
        self.suggestions = {"lots": released_lots(item__unit=Item.Unit.GRAM)}

    def arguments(self):
        facts = super().arguments()
        facts["soap_each"] = facts["soap_each"].grams_or_pieces
        facts["place"] = standing_place(facts["soap"])
        rows = self.rows["additions"].written()
        facts["additions"] = [row.new_addition() for row in rows]
        return facts


class LookForm(DeedForm):
    """What the sample looks like now; the photo may be taken with the tablet."""

    after_rows = ()
    look = forms.ChoiceField(label="Looked at", choices=Step.Look)
    text = forms.CharField(
        label="What was seen",
        required=False,
        max_length=300,
        help_text="Its colour, whether it clouds, thickens or separates, its smell.",
    )
    clear = forms.TypedChoiceField(
        label="Clarity",
        required=False,
        choices=[("", "not looked"), ("yes", "clear"), ("no", "not clear")],
        coerce=lambda text: text == "yes",
        empty_value=None,
    )
    photo = forms.FileField(
        required=False,
        allow_empty_file=True,
        widget=forms.FileInput(attrs={"accept": ",".join(PICTURES)}),
        help_text="JPEG, PNG or WebP, at most 10 MB; always in the same light.",
    )

    def __init__(self, data=None, files=None, **kwargs):
        super().__init__(data, **kwargs)
        self.files = files or {}
        # What was seen says it.
        del self.fields["reason"]

    def clean_photo(self):
        sent = self.cleaned_data["photo"]
        if not sent:
            return None
        if not sent.name.lower().endswith(PICTURES):
            raise forms.ValidationError(
                f"{sent.name} is no picture. Choose a JPEG, PNG or WebP file."
            )
        return paper_of(sent)

    def clean(self):
        facts = super().clean()
        if not facts.get("text") and facts.get("clear") is None and not self.errors:
            self.add_error("text", "Write what was seen, or whether it is clear.")
        if self.errors and facts.get("photo"):
            self.add_error(
                "photo", "Choose the photo once more: a browser does not keep it."
            )
        return facts
