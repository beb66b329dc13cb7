"""Of which days the books are asked, by which method; and the card they are kept by."""

from datetime import date

from django import forms

from costing.domain.books import METHODS
from costing.models import BooksTerms
from production.pages.forms.fields import DayField, PercentField
from production.record.reads.clock import today
from production.workshop.forms.cards import Card

WORDS = {
    "lots": "the lots that were really taken",
    "fifo": "first in, first out",
    "average": "moving average",
    "card": "as the card says, kind by kind",
}


class BooksForm(forms.Form):
    """``since`` empty: since the books began; ``to`` empty: through today."""

    since = DayField(label="From", required=False)
    to = DayField(label="Through", required=False)
    method = forms.ChoiceField(
        label="Valued by", choices=[(one, WORDS[one]) for one in METHODS]
    )

    def __init__(self, data, *args, **kwargs):
        asked = {"method": METHODS[0], **{name: data[name] for name in data}}
        super().__init__(asked, *args, **kwargs)

    @property
    def through(self) -> date:
        return self.cleaned_data.get("to") or today()


class TermsForm(Card):
    """The card of the books."""

    selling_share = PercentField(
        label="Cost of selling, % of the price",
        required=False,
        help_text="Taken off the last price to see what stock would bring.",
    )

    class Meta:
        model = BooksTerms
        fields = ("sole_trader", "material", "packaging", "made", "selling_share")
        help_texts = {
            "sole_trader": "What the owner takes for own use is then drawings and no "
            "loss of the workshop. Whether that is so, an adviser says.",
        }

    def clean_selling_share(self):
        return self.cleaned_data["selling_share"] or 0
