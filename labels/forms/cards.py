"""What the labels of a product say, and the sheets they are printed on."""

from decimal import Decimal

from django import forms

from labels.forms.labels import RULES, SOLD_IN
from labels.models import NUMBERS, LabelAddress, LabelCard, LabelText, Sheet
from labels.reads.rules import words
from production.pages.forms.fields import NumberField
from production.workshop.forms.cards import Card, CountryField

LANGUAGES = [(one.language, one.called) for one in words().values()]

# What is not told stays as it was.
KEPT = ("layout", "design")


class LabelCardForm(Card):
    rules = forms.ChoiceField(label="Label rules", choices=RULES)
    sold_in = forms.ChoiceField(
        label="Sold in",
        choices=SOLD_IN,
        required=False,
        help_text="The languages of the label follow from there.",
    )
    language = forms.ChoiceField(label="This card is written in", choices=LANGUAGES)
    folded = (
        "layout",
        "design",
        "batch_code",
        "shelf",
        "leaflet",
        "estimated",
        "language",
        "basis",
        "once",
        "no_cautions",
        "origin",
        "rinse_off",
        "substitutes",
        "made_for",
        "sold_as_more",
        "hand_wash",
        "bath_foam",
        "adults_only",
        "for_children",
    )

    class Meta:
        model = LabelCard
        fields = (
            "product",
            "scent",
            "identity",
            "function",
            "declared",
            "body",
            "rules",
            "sold_in",
            "width",
            "height",
            "shape",
            "panel_height",
            "panel_across",
            "panel_diameter",
            "panel_surface",
            "directions",
            "cautions",
            "keeps_months",
            "opened_months",
            "no_cautions",
            "language",
            "layout",
            "design",
            "batch_code",
            "shelf",
            "leaflet",
            "estimated",
            "basis",
            "origin",
            "rinse_off",
            "substitutes",
            "once",
            "made_for",
            "claims",
            "sold_as_more",
            "hand_wash",
            "bath_foam",
            "adults_only",
            "for_children",
        )
        widgets = {
            name: forms.Textarea(attrs={"rows": 2})
            for name in ("directions", "cautions", "claims", "substitutes")
        }
        help_texts = {
            "product": "As it is printed; left empty, the name of the item.",
            "batch_code": "For a reader that follows bottles.",
            "shelf": "The 12 or 13 figures that were given to you.",
            "leaflet": "Where the words stand on a leaflet that goes with it.",
            "estimated": "It promises that you check your packs by the three rules of "
            "packers: 5 g or mL to 10 kg or L.",
            "identity": "The name in large letters, such as Liquid hand soap.",
            "function": "Needed where the name does not tell.",
            "declared": "As you promise it: 8 fl oz, 500 mL, or 24 oz of paste. One "
            "of them is enough: the other units are worked out.",
            "body": "A liquid is told by volume; for a paste the rules differ.",
            "keeps_months": "Unopened. A date on the lot itself comes first.",
            "opened_months": "For the open jar, on what keeps over 30 months.",
            "origin": "Such as Made in the USA, on what is imported.",
            "shape": "In the US and Canada its area decides how high the letters of "
            "the contents are.",
            "panel_height": "Without neck, shoulders and base.",
            "panel_surface": "Needed for another shape; without neck and base.",
            "substitutes": "One a line: the usual label name, the word or, and its "
            "substitute; printed where the rules let it.",
            "rinse_off": "Soap is. What stays on the skin has allergens named from a "
            "tenth of the share.",
            "claims": "The words of the shop page, the flyer, the stall: they decide "
            "with the label whether it is soap, a cosmetic or something else.",
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for name in KEPT:
            self.fields[name].required = False

    def clean(self):
        facts = super().clean()
        for name in KEPT:
            facts[name] = facts.get(name) or getattr(self.instance, name)
        return facts


class SheetForm(Card):
    moved_right = NumberField(
        label="Print farther right",
        places=2,
        signed=True,
        required=False,
        help_text="What your printer is off, in mm: below 0 for farther left.",
    )
    moved_down = NumberField(
        label="Print lower",
        places=2,
        signed=True,
        required=False,
        help_text="Below 0 for higher.",
    )
    folded = ("moved_right", "moved_down")

    class Meta:
        model = Sheet
        fields = NUMBERS
        help_texts = {
            "page_width": "All lengths in mm, as measured or as the maker states them.",
        }

    def clean(self):
        facts = super().clean()
        for name in self.folded:
            if name not in self.errors:
                facts[name] = facts.get(name) or Decimal(0)
        return facts


class LabelTextForm(Card):
    language = forms.ChoiceField(label="Written in", choices=LANGUAGES)

    class Meta:
        model = LabelText
        fields = (
            "language",
            "identity",
            "function",
            "directions",
            "cautions",
            "origin",
        )
        widgets = {
            name: forms.Textarea(attrs={"rows": 2})
            for name in ("directions", "cautions")
        }


class LabelAddressForm(Card):
    """Who answers for the goods, where the workshop does not itself."""

    rules = forms.ChoiceField(label="Label rules", choices=RULES)
    country = CountryField()

    class Meta:
        model = LabelAddress
        fields = ("rules", "role", "name", "street", "town", "country")
