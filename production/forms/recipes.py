"""Recipes: what a batch should contain, in percent."""

from decimal import Decimal

from django import forms

from production import actions
from production.domain.numbers import plain
from production.forms.deed import DeedForm, RowForm
from production.forms.fields import Choice, NumberField, PercentField
from production.models import Item, Stage, Version
from production.models.formulas import TERMS


class RecipeRow(RowForm):
    tells = ("item", "share", "each")
    item = Choice(Item.objects.all())
    share = PercentField(label="Share, %", required=False)
    each = NumberField(
        label="Or for each piece made",
        places=3,
        required=False,
        help_text="Grams or pieces: 245 of the soap, 1 bottle.",
    )

    def clean(self):
        facts = super().clean()
        given = [facts.get("share"), facts.get("each")]
        if not self.errors and given.count(None) != 1:
            self.add_error("share", "Write a share or an amount for each, one of both.")
        return facts

    def new_line(self):
        facts = self.cleaned_data
        return actions.NewVersionLine(
            item=facts["item"], share=facts["share"], each=facts["each"]
        )


class OilRow(RecipeRow):
    """In a cook every line is a share of the oils."""

    each = None
    share = PercentField(label="Share of the oils, %", required=False)

    def clean(self):
        facts = super(RecipeRow, self).clean()
        if facts.get("item") and facts.get("share") is None and not self.errors:
            self.add_error("share", "Write its share of the oils.")
        return facts

    def new_line(self):
        facts = self.cleaned_data
        return actions.NewVersionLine(item=facts["item"], share=facts["share"])


class RecipeForm(DeedForm):
    """The stages after the kettle; lines are shares of what is made."""

    row_sets = {"lines": (RecipeRow, "What goes in")}
    name = forms.CharField(
        max_length=120,
        help_text="A name that stands already gets its next version.",
    )
    makes = Choice(
        Item.objects.filter(kind=Item.Kind.MADE),
        help_text="An item of the kind made here; add it under Items first.",
    )
    target_soap = PercentField(
        label="Wanted soap content, %",
        required=False,
        help_text="The water is then worked out from what the paste holds.",
    )
    loss = PercentField(label="Expected loss, % of what goes in", required=False)
    band = PercentField(
        label="Weighing band, %",
        required=False,
        help_text="Beyond it the book asks for a reason. Left empty it is 0.5 %.",
    )
    release = forms.ChoiceField(
        label="Released", choices=Version.Release, initial=Version.Release.HAND
    )
    rest_days = forms.IntegerField(label="Rest, days", min_value=0, initial=0)
    shelf_days = forms.IntegerField(label="Keeps, days", min_value=1, required=False)
    steps = forms.CharField(
        required=False,
        widget=forms.Textarea(attrs={"rows": 6}),
        help_text="One a line, in your own words.",
    )
    after_rows = ("release", "rest_days", "reason")
    folded = ("loss", "band", "shelf_days", "steps")

    def __init__(self, *args, stage, **kwargs):
        self.stage = stage
        super().__init__(*args, **kwargs)
        if stage != Stage.DILUTION and "target_soap" in self.fields:
            del self.fields["target_soap"]

    def arguments(self):
        rows = self.rows["lines"].written()
        return {
            **super().arguments(),
            "stage": self.stage,
            "lines": [row.new_line() for row in rows],
        }


class CookRecipeForm(RecipeForm):
    row_sets = {"lines": (OilRow, "Oils, and what else goes in by them")}
    superfat = PercentField(
        label="Superfat (lye discount), %",
        signed=True,
        help_text="The share of the fat left unsaponified. Below zero is lye excess.",
    )
    water_per_alkali = NumberField(
        label="Water, grams to 1 g of alkali as weighed", places=5
    )
    koh_share = PercentField(
        label="Potassium share of the soap, %",
        required=False,
        high=True,
        help_text="By mole. Left empty it is 100 %: potassium hydroxide alone.",
    )
    field_order = ["name", "makes", "superfat", "water_per_alkali", "koh_share"]

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.order_fields(["key", *self.field_order])

    def clean_superfat(self):
        superfat = self.cleaned_data["superfat"]
        if superfat is not None and abs(superfat) >= 1:
            raise forms.ValidationError("Write a superfat such as 2 %.")
        return superfat


def as_typed(version):
    """A version as the initial values of the next one."""
    first = {name: _typed(getattr(version, name)) for name in TERMS}
    rows = [
        {"item": line.item_id, "share": line.share, "each": _typed(line.each)}
        for line in version.lines.all()
    ]
    for name in ("superfat", "koh_share", "target_soap", "loss", "band"):
        first[name] = getattr(version, name)
    return {
        "name": version.formula.name,
        "makes": version.formula.makes_id,
    } | first, rows


def _typed(value):
    return plain(value) if isinstance(value, Decimal) else value
