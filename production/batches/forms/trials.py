"""Samples of one soap at the bench, and the looks at them."""

from pathlib import PurePath

from django import forms

from production.attachments.forms import paper_of
from production.batches.actions.trials import NewAddition
from production.batches.forms.scents import GRAMS_MADE, SoapField
from production.fitness.forms import released_lots
from production.pages.forms.deed import DeedForm, RowForm
from production.pages.forms.fields import AmountField, Choice, faulted
from production.quantities.domain.percent_text import SPACES, read_shares
from production.stock.models.batches import Step
from production.stock.reads.places_of_lots import standing_places
from production.workshop.models.items import Item

PICTURES = (".jpg", ".jpeg", ".png", ".webp")


class SharesField(forms.CharField):
    """Rising shares of the finished sample, in percent."""

    def __init__(self, **kwargs):
        super().__init__(max_length=120, **kwargs)

    def clean(self, value):
        text = super().clean(value)
        with faulted():
            return read_shares(text) if text else []


class AdditionRow(RowForm):
    tells = ("lot", "shares")
    lot = SoapField(label="Lot that goes in", required=False)
    shares = SharesField(label="% of the sample", required=False)

    def clean(self):
        facts = super().clean()
        if facts.get("lot") and not facts.get("shares") and not self.errors:
            self.add_error("shares", f"Write in which shares. {SPACES}")
        if facts.get("shares") and not facts.get("lot") and not self.errors:
            self.add_error("lot", "Say which lot: read its code.")
        return facts

    def new_addition(self, places):
        """``places`` is where each lot stands, by its key."""
        lot, shares = self.cleaned_data["lot"], self.cleaned_data["shares"]
        return NewAddition(lot, shares, places[lot.pk])


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
        self.suggestions = {"lots": released_lots(item__unit=Item.Unit.GRAM)}

    def arguments(self):
        facts = super().arguments()
        facts["soap_each"] = facts["soap_each"].grams_or_pieces
        rows = self.rows["additions"].written()
        lots = [facts["soap"], *(row.cleaned_data["lot"] for row in rows)]
        places = standing_places(lots)
        facts["place"] = places[facts["soap"].pk]
        facts["additions"] = [row.new_addition(places) for row in rows]
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
        if PurePath(sent.name).suffix.lower() not in PICTURES:
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
