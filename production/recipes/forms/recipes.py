"""Recipes: what a batch should contain, in percent."""

from decimal import Decimal

from django import forms

from production.pages.forms.deed import DeedForm, RowForm
from production.pages.forms.fields import Choice, NumberField, PercentField
from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused
from production.recipes.actions.formulas import NewVersionLine
from production.recipes.domain.limits import NewCheck
from production.recipes.models.formulas import MOST_REST, MOST_SHELF, TERMS, Version
from production.recipes.reads.experience import learnt_by
from production.recipes.reads.planning import as_worded
from production.stock.forms.fields import reading_field
from production.stock.models.batches import Stage
from production.stock.models.readings import Measurement
from production.workshop.models.items import Item
from production.yields.domain.losses import Loss

# Terms that a person reads in percent.
PERCENTS = ("superfat", "koh_share", "lye_strength", "target_soap", "loss", "band")


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
        return NewVersionLine(
            item=facts["item"], share=facts["share"], each=facts["each"]
        )

    def part(self):
        facts = self.cleaned_data
        return facts["item"], facts["share"], facts["each"]


class CheckRow(RowForm):
    """A reading that the recipe asks for; shares are typed in percent."""

    tells = ("what",)
    what = forms.ChoiceField(
        required=False, choices=[("", "none"), *Measurement.What.choices]
    )
    low = forms.CharField(label="At least", required=False, max_length=30)
    high = forms.CharField(label="At most", required=False, max_length=30)
    how = forms.CharField(label="How it is read", required=False, max_length=200)

    def clean(self):
        facts = super().clean()
        field = reading_field(facts.get("what"), required=False)
        for name in ("low", "high"):
            try:
                facts[name] = field.clean(facts.get(name))
            except forms.ValidationError as fault:
                self.add_error(name, fault)
        return facts

    def new_check(self):
        facts = self.cleaned_data
        return NewCheck(facts["what"], facts["low"], facts["high"], facts["how"])


class RecipeForm(DeedForm):
    """The stages after the kettle; lines are shares of what is made."""

    row_sets = {
        "lines": (RecipeRow, "What goes in"),
        "checks": (CheckRow, "Checks, and between which limits they pass"),
    }
    folded_rows = ("checks",)
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
        high=True,
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
    rest_days = forms.IntegerField(
        label="Rest, days", min_value=0, max_value=MOST_REST, initial=0
    )
    shelf_days = forms.IntegerField(
        label="Keeps, days", min_value=1, max_value=MOST_SHELF, required=False
    )
    steps = forms.CharField(
        required=False,
        widget=forms.Textarea(attrs={"rows": 6}),
        help_text="One a line, in your own words. A line that begins with a time, such "
        "as 0:25 or +2 h 40 min, gets its clock time on the batch sheet.",
    )
    after_rows = ("release", "rest_days", "reason")
    folded = ("loss", "band", "shelf_days", "steps")
    aside = "production/recipes/_comes_to.html"

    def __init__(self, *args, stage, **kwargs):
        self.stage = stage
        super().__init__(*args, **kwargs)
        if stage == Stage.DILUTION:
            self.fields["shelf_days"].label = "May wait before it is filled, days"
            self.fields["shelf_days"].help_text = (
                "Diluted soap without a preservative is food for germs: a few days at "
                "most (common practice, no source)."
            )
        if stage != Stage.DILUTION and "target_soap" in self.fields:
            del self.fields["target_soap"]

    def clean_loss(self):
        loss = self.cleaned_data["loss"]
        if loss == 1:
            raise forms.ValidationError("Write a loss below 100 %: something is made.")
        return loss

    def arguments(self):
        return {
            **super().arguments(),
            "stage": self.stage,
            "lines": self.new_lines(),
            "checks": [row.new_check() for row in self.rows["checks"].written()],
        }

    def calculated(self):
        """What is mixed, as far as it is typed; Refused says what is missing."""
        self.is_valid()
        rows = [row for row in self.rows["lines"].written() if not row.errors]
        if not rows:
            raise Refused("Write what goes in, a line each.")
        loss = learnt_by(self.cleaned_data.get("name") or "") or self._loss()
        return as_worded(self.stage, [row.part() for row in rows], loss)

    def _loss(self):
        share = self.cleaned_data.get("loss")
        return None if share is None else Loss(share, "as the recipe expects")

    def new_lines(self):
        return [row.new_line() for row in self.rows["lines"].written()]


def as_typed(version):
    """A version as the initial values of the next one."""
    first = {name: _typed(getattr(version, name)) for name in TERMS}
    rows = [
        {
            "item": line.item_id,
            "share": line.share,
            "each": _typed(line.each),
            "goes_in": line.goes_in,
        }
        for line in version.lines.all()
    ]
    checks = [
        {
            "what": check.what,
            "low": _limit(check, check.low),
            "high": _limit(check, check.high),
            "how": check.how,
        }
        for check in version.checks.all()
    ]
    for name in PERCENTS:
        first[name] = getattr(version, name)
    return {
        "name": version.formula.name,
        "makes": version.formula.makes_id,
    } | first, {"lines": rows, "checks": checks}


def _limit(check, value):
    if value is None or check.what not in Measurement.SHARES:
        return _typed(value)
    return f"{plain(value * 100)} %"


def _typed(value):
    return plain(value) if isinstance(value, Decimal) else value
