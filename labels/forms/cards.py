"""What the labels of a product say, and the sheets they are printed on."""

from django import forms

from labels.forms.labels import RULES
from labels.models import NUMBERS, LabelCard, Sheet
from production.workshop.forms.cards import Card


class LabelCardForm(Card):
    rules = forms.ChoiceField(label="Label rules", choices=RULES)
    folded = (
        "second_language",
        "basis",
        "once",
        "no_cautions",
        "responsible",
        "origin",
        "rinse_off",
        "shape",
        "panel_height",
        "panel_across",
    )

    class Meta:
        model = LabelCard
        fields = (
            "identity",
            "function",
            "declared",
            "rules",
            "width",
            "height",
            "directions",
            "cautions",
            "keeps_months",
            "opened_months",
            "no_cautions",
            "second_language",
            "basis",
            "responsible",
            "origin",
            "rinse_off",
            "once",
            "shape",
            "panel_height",
            "panel_across",
        )
        widgets = {
            name: forms.Textarea(attrs={"rows": 2})
            for name in ("directions", "cautions", "second_language", "responsible")
        }
        help_texts = {
            "identity": "The name in large letters, such as Liquid hand soap.",
            "function": "Needed where the name does not tell.",
            "declared": "As you promise it: 8 fl oz, 500 mL, or 24 oz of paste.",
            "keeps_months": "Unopened. A date on the lot itself comes first.",
            "opened_months": "For the open jar, on what keeps over 30 months.",
            "second_language": "Name, function, directions and cautions; Canada asks "
            "for French.",
            "responsible": "Name and address, where the workshop is not there itself.",
            "origin": "Such as Made in the USA, on what is imported.",
            "rinse_off": "Soap is. What stays on the skin has allergens named from a "
            "tenth of the share.",
            "shape": "The larger it is, the higher the letters of the contents.",
            "panel_height": "Without neck and shoulders.",
        }


class SheetForm(Card):
    class Meta:
        model = Sheet
        fields = NUMBERS
        help_texts = {
            "page_width": "All lengths in mm, as measured or as the maker states them.",
        }
