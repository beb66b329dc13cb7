"""One diluted soap into several scents, a row for each."""

from django import forms

from production.batches.actions.new_batch import NewBatch, Output
from production.batches.forms.bench import put_in
from production.batches.forms.losses import AsksWhere, RestField
from production.batches.reads.bench import Bench
from production.fitness.forms import released_lots
from production.pages.forms.deed import DeedForm, RowForm
from production.pages.forms.fields import AmountField, Choice, CodeField
from production.recipes.domain.craft_day import in_one_pot
from production.recipes.forms.bench import lots_among
from production.recipes.models.formulas import Version
from production.recipes.reads.packs import open_packs
from production.stock.forms.choices import taps
from production.stock.forms.fields import LotField, SourceField
from production.stock.models.batches import Stage
from production.workshop.models.items import Item

GRAMS_MADE = {"kind": Item.Kind.MADE, "unit": Item.Unit.GRAM}


class NoAlkali(forms.Field):
    """What has a name and a purity to look at twice goes in on its own page."""

    def clean(self, value):
        lot = super().clean(value)
        item = getattr(lot, "item", lot)
        if item is not None and item.is_alkali:
            raise forms.ValidationError(
                f"{lot} is {item}, an alkali. It does not go into a finished soap here."
            )
        return lot


class ScentSource(NoAlkali, SourceField):
    pass


class SoapField(NoAlkali, LotField):
    pass


class ScentRow(AsksWhere, RowForm):
    """One scent: so much of the soap, and what it takes up."""

    tells = ("soap",)
    folded = ("amount", "version", "code")
    product = Choice(
        Item.objects.filter(**GRAMS_MADE),
        label="Becomes",
        required=False,
        empty_label="choose",
    )
    soap = AmountField(label="Diluted soap", unit="g")
    fragrance = ScentSource(label="Fragrance, lot", required=False)
    fragrance_amount = AmountField(label="How much of it", unit="g", required=False)
    brine_amount = AmountField(label="Brine, how much", unit="g", required=False)
    amount = AmountField(
        label="Finished soap, weighed",
        unit="g",
        required=False,
        help_text="Left empty: all that went in.",
    )
    version = Choice(
        Version.objects.filter(formula__stage=Stage.FINISHING).select_related(
            "formula"
        ),
        label="Recipe",
        required=False,
        empty_label="without a recipe",
    )
    code = CodeField(label="Own code of the lot")
    lost_as = RestField()

    def clean(self):
        facts = super().clean()
        if facts.get("fragrance_amount") and not facts.get("fragrance"):
            self.add_error("fragrance", "Say which fragrance: read its code.")
        if facts.get("fragrance") and not facts.get("fragrance_amount"):
            self.add_error("fragrance_amount", "Write how much of it went in.")
        if not facts.get("product") and not facts.get("version"):
            self.add_error("product", "Say what it becomes, or choose its recipe.")
        return facts

    def new_batch(self, bench, soap, brine):
        facts = self.cleaned_data
        uses = put_in(bench, soap, facts["soap"])
        if facts["fragrance"]:
            uses += put_in(bench, facts["fragrance"], facts["fragrance_amount"])
        if facts["brine_amount"]:
            uses += put_in(bench, brine, facts["brine_amount"])
        poured, weighed = [use.amount for use in uses], facts["amount"]
        return NewBatch(
            stage=Stage.FINISHING,
            version=facts["version"],
            uses=uses,
            lost_as=facts["lost_as"],
            mark=self.add_prefix("lost_as"),
            output=Output(
                amount=weighed.grams_or_pieces if weighed else in_one_pot(poured, ()),
                item=facts["product"],
                code=facts["code"],
                typed=weighed.typed if weighed else "",
            ),
        )


class ScentsForm(DeedForm):
    row_sets = {"scents": (ScentRow, "Scents")}
    spare_rows = 2
    diluted = SoapField(label="Diluted soap, lot")
    brine = ScentSource(label="Brine, lot", required=False)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.suggestions = {"lots": [*taps(), *released_lots()]}
        self.remarks = []

    def clean(self):
        facts = super().clean()
        salted = any(row.cleaned_data.get("brine_amount") for row in self._written())
        if salted and not facts.get("brine") and "brine" not in self.errors:
            self.add_error("brine", "Say which brine: read its code.")
        return facts

    def _written(self):
        return [row for row in self.rows["scents"] if hasattr(row, "cleaned_data")]

    def arguments(self):
        facts, rows = self.cleaned_data, self.rows["scents"].written()
        scented = [row.cleaned_data["fragrance"] for row in rows]
        named = lots_among([facts["diluted"], facts["brine"], *scented])
        bench = Bench(named, facts["on"])
        scents = [
            row.new_batch(bench, facts["diluted"], facts["brine"]) for row in rows
        ]
        self.remarks = bench.remarks
        return {**self.signed(), "scents": scents}


def open_scents(on):
    """A row for each fragrance that stands open, and the brine that does."""
    packs = open_packs(on).values()
    scents = [
        {"fragrance": lot.code}
        for lot in packs
        if lot.item.category == Item.Category.FRAGRANCE
    ]
    brine = [
        lot.code
        for lot in packs
        if lot.batch_id and lot.batch.stage == Stage.PREPARATION
    ]
    return scents, brine[0] if len(brine) == 1 else ""
