"""Which label, how large, on which sheet."""

from django import forms

from labels.domain.sheets import PAPERS, Geometry, ensure_places, plain_sheet
from labels.models import LabelCard, Sheet
from labels.reads.rules import countries, rule_sets
from production.pages.forms.fields import NumberField, faulted
from production.quantities.domain.numbers import plain

RULES = [(code, rules.title) for code, rules in rule_sets().items()]
SOLD_IN = [("", "not said"), *((one.code, one.name) for one in countries())]


class IngredientsForm(forms.Form):
    """Which rules, and which basis where it differs from theirs."""

    rules = forms.ChoiceField(label="Label rules", choices=RULES)
    basis = forms.ChoiceField(required=False, choices=LabelCard.Basis.choices)


class Placed(forms.Form):
    """Under which rules, and where it is sold: the rules must be the law there."""

    rules = forms.ChoiceField(label="Label rules", choices=RULES)
    sold_in = forms.ChoiceField(label="Sold in", choices=SOLD_IN, required=False)

    def clean_sold_in(self):
        sold_in = self.cleaned_data["sold_in"]
        rules = rule_sets().get(self.cleaned_data.get("rules"))
        if sold_in and rules and rules.country(sold_in) is None:
            raise forms.ValidationError(
                f"The {rules.title} are no law in {dict(SOLD_IN)[sold_in]}: choose "
                "the rules of that country, or another country."
            )
        return sold_in


def placed_as_asked(asked, card):
    """The card's own rules and country; the country only where those rules are law."""
    told = {"rules": card.rules, **asked.dict()}
    rules = rule_sets().get(told["rules"])
    if "sold_in" not in told and rules and rules.country(card.sold_in):
        told["sold_in"] = card.sold_in
    return told


class PlaceForm(Placed):
    def __init__(self, asked, *, card):
        super().__init__(placed_as_asked(asked, card))
        self.card = card


class LabelForm(Placed):
    """Asked with every look: what to draw, and where it is printed."""

    basis = forms.ChoiceField(required=False, choices=LabelCard.Basis.choices)
    width = NumberField(label="Width, mm", places=2)
    height = NumberField(label="Height, mm", places=2)
    labels = forms.IntegerField(label="Labels on sheets", min_value=1)
    sheet = forms.ChoiceField(
        help_text="A sheet's labels have their own size, plain paper takes yours."
    )
    start = forms.IntegerField(
        label="First free label on the sheet",
        min_value=1,
        help_text="Counted along the rows.",
    )

    def __init__(self, asked, *, card, paper):
        first = {
            "basis": card.basis,
            "width": plain(card.width),
            "height": plain(card.height),
            "labels": 1,
            "sheet": paper,
            "start": 1,
        }
        super().__init__({**first, **placed_as_asked(asked, card)})
        self.card = card
        self.sheets = {str(sheet.pk): sheet for sheet in Sheet.objects.all()}
        self.fields["sheet"].choices = [
            (name, f"plain {name} paper, cut by hand") for name in PAPERS
        ] + [(pk, str(sheet)) for pk, sheet in self.sheets.items()]

    def clean(self):
        facts = super().clean()
        if self.errors:
            return facts
        with faulted():
            facts["geometry"] = geometry = self._geometry(facts)
            ensure_places(geometry, facts["labels"], facts["start"])
        return facts

    def _geometry(self, facts) -> Geometry:
        sheet = self.sheets.get(facts["sheet"])
        if sheet is not None:
            return sheet.geometry()
        return plain_sheet(facts["sheet"], facts["width"], facts["height"])

    @property
    def by_hand(self):
        return self.cleaned_data["sheet"] in PAPERS
