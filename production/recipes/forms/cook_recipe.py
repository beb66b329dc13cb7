"""The formula of a paste: oils by share or weight, the lye, and what it comes to."""

from decimal import Decimal
from typing import Any

from django import forms

from production.chemistry.domain.pot import alkalis_used
from production.pages.forms.deed import RowForm
from production.pages.forms.fields import TUBS, AmountField, Choice, NumberField
from production.pages.forms.fields import PercentField as Percent
from production.quantities.domain.refusal import Refused
from production.quantities.domain.units import A_KILO
from production.recipes.actions.formulas import NewVersionLine
from production.recipes.domain.cooking import cook, judge_intent
from production.recipes.domain.oil_shares import Typed, shared_out
from production.recipes.domain.pot import Lye, Terms
from production.recipes.forms.recipes import CheckRow, RecipeForm
from production.recipes.models.formulas import VersionLine
from production.recipes.reads.cooking import balance_step, lines_for
from production.recipes.reads.experience import learnt_by
from production.recipes.reads.tubs import lye_of, lyes_for
from production.stock.forms.fields import LotField
from production.workshop.models.items import Item

GOES_IN = VersionLine.GoesIn
HOW_IT_IS_SET = (
    "superfat",
    "koh_share",
    "water_per_alkali",
    "lye_strength",
    "loss",
)
# What is typed to work the figures out; none of it is part of the recipe.
TO_WORK_OUT = (
    "oils",
    "alkali_lot",
    "koh_purity",
    "koh_basis",
    "soda_lot",
    "naoh_purity",
    "naoh_basis",
)


class OilRow(RowForm):
    """In a cook every line is a share of the oils, in percent or by weight."""

    tells = ("item", "share", "weight")
    folded = ("goes_in",)
    folded_words = "When it goes in"
    item = Choice(Item.objects.select_related("oil"), label="Oil, or what else goes in")
    share = Percent(label="Share of the oils, %", required=False)
    weight = AmountField(label="Or its weight", unit="g", required=False)
    goes_in = forms.ChoiceField(
        label="Goes in",
        choices=GOES_IN,
        required=False,
        help_text="An acid in the lye gets alkali of its own. Another liquid in the "
        "lye takes the place of as much water.",
    )

    def clean(self):
        facts = super().clean()
        if facts.get("share") is not None and facts.get("weight"):
            self.add_error("weight", "Write its share or its weight, one of both.")
        return facts


def _typed(row):
    item, weight = row["item"], row["weight"]
    is_oil = item.category == Item.Category.OIL
    grams = weight.grams_or_pieces if weight else None
    return Typed(str(item), is_oil, row["share"], grams)


class CookRecipeForm(RecipeForm):
    row_sets = {
        "lines": (OilRow, "Oils, and what else goes in by them"),
        "checks": (CheckRow, "Checks, and between which limits they pass"),
    }
    superfat = Percent(
        label="Superfat (lye discount), %",
        signed=True,
        help_text="The share of the fat left unsaponified. Below zero is lye excess.",
    )
    lye_excess = forms.BooleanField(
        label="Lye excess on purpose, neutralised after dilution",
        required=False,
        help_text="The paste burns until the diluted soap is neutralised and its "
        "check is passed; nothing is finished before.",
    )
    koh_share = Percent(
        label="Potassium share of the soap, %",
        required=False,
        high=True,
        help_text="By mole. Left empty it is 100 %: potassium hydroxide alone.",
    )
    water_per_alkali = NumberField(
        label="Water, grams to 1 g of alkali as weighed", places=5, required=False
    )
    lye_strength = Percent(
        label="Or strength of the lye, % pure alkali",
        required=False,
        high=True,
        help_text="One of the two: so much water, or so strong a lye.",
    )
    oils = AmountField(
        label="Worked out for, oils in all",
        unit="g",
        required=False,
        help_text="Left empty, the weights above count, else 1,000 g.",
    )
    alkali_lot = LotField(
        label="Potassium hydroxide, lot",
        required=False,
        help_text="Left empty, the tub last taken in counts.",
    )
    koh_purity = Percent(
        label="Or its purity, %",
        required=False,
        high=True,
        help_text="From the tub or certificate; none is assumed.",
    )
    koh_basis = forms.ChoiceField(
        label="That purity is",
        required=False,
        choices=[
            ("stated", "as its certificate states"),
            ("measured", "measured here"),
            ("minimum", "only the least it has (min.)"),
        ],
    )
    soda_lot = LotField(label="Sodium hydroxide, lot", required=False)
    naoh_purity = Percent(label="Or its purity, %", required=False, high=True)
    naoh_basis = forms.ChoiceField(
        label="That purity is", required=False, choices=koh_basis.choices
    )
    to_work_out = TO_WORK_OUT
    aside = "production/recipes/_comes_to.html"
    field_order = [
        "key",
        "name",
        "makes",
        "superfat",
        "water_per_alkali",
        "lye_strength",
        "koh_share",
        "lye_excess",
    ]

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["loss"].label = "Boils off, % of what goes in"
        self.order_fields(self.field_order)
        self.lines: Any = None

    def open_fields(self):
        return [f for f in super().open_fields() if f.name not in self.to_work_out]

    def to_work_out_fields(self):
        return [self[name] for name in self.to_work_out]

    def clean_superfat(self):
        superfat = self.cleaned_data["superfat"]
        if superfat is not None and abs(superfat) >= 1:
            raise forms.ValidationError("Write a superfat such as 2 %.")
        return superfat

    def clean(self):
        facts = super().clean()
        self._judge_intent(facts)
        given = [facts.get("water_per_alkali"), facts.get("lye_strength")]
        if given.count(None) != 1 and not {"water_per_alkali", "lye_strength"} & {
            *self.errors
        }:
            self.add_error(
                "water_per_alkali",
                "Set the lye water once: so many grams to 1 g of alkali, or the "
                "strength of the lye.",
            )
        if self.rows["lines"].is_valid():
            try:
                self.lines = self._shared_out()
            except Refused as fault:
                self.add_error(None, str(fault))
        return facts

    def _judge_intent(self, facts):
        if facts.get("superfat") is None:
            return
        try:
            judge_intent(facts["superfat"], bool(facts.get("lye_excess")))
        except Refused as fault:
            self.add_error("superfat", str(fault))

    def _shared_out(self):
        """(item, share, where it goes in) of each line."""
        rows = [row.cleaned_data for row in self.rows["lines"].written()]
        shares, self.weighed = shared_out([_typed(row) for row in rows], self._oils())
        pairs = zip(rows, shares, strict=True)
        return [(row["item"], share, row["goes_in"]) for row, share in pairs]

    def _oils(self):
        """Grams of oils that somebody asked for, else those of a first look."""
        asked = self.cleaned_data.get("oils")
        return asked.grams_or_pieces if asked else A_KILO

    def new_lines(self):
        return [
            NewVersionLine(item=item, share=share, goes_in=goes_in)
            for item, share, goes_in in self.lines
        ]

    def arguments(self):
        given = super().arguments()
        return {n: v for n, v in given.items() if n not in self.to_work_out}

    def calculated(self):
        """The paste as far as it is typed; Refused says what is missing."""
        self.is_valid()
        if not hasattr(self, "cleaned_data"):
            raise Refused("Rows were added: fill them, and look again.")
        facts = self.cleaned_data
        if self.lines is None:
            raise Refused(self._first_fault())
        for name in (*HOW_IT_IS_SET, "oils"):
            # What was typed and not understood is never passed over in silence.
            if name in self.errors and self[name].value():
                raise Refused(self._fault_of(name))
        if facts.get("superfat") is None:
            raise Refused("Write the superfat: none is assumed.")
        oils = self._oils() if facts.get("oils") else self.weighed or A_KILO
        share = facts.get("koh_share")
        learnt = learnt_by(facts.get("name") or "")
        terms = Terms(
            superfat=facts["superfat"],
            koh_share=Decimal(1) if share is None else share,
            lye_excess=facts.get("lye_excess", False),
            water_per_alkali=facts.get("water_per_alkali"),
            lye_strength=facts.get("lye_strength"),
            loss=learnt.share if learnt else facts.get("loss"),
        )
        step = balance_step()
        lyes = self._lyes(terms.koh_share)
        cooked = cook(lines_for(self.lines), terms, lyes, oils, step)
        return cooked, lyes, terms

    def _first_fault(self):
        """Why the lines could not be shared out."""
        for row in self.rows["lines"].forms:
            for faults in row.errors.values():
                return str(faults[0])
        faults = self.non_field_errors()
        return str(faults[0]) if faults else "Write the oils: in percent, or by weight."

    def _fault_of(self, name):
        """What is wrong with a field, with its name before it."""
        return f"{self.fields[name].label}: {self.errors[name][0]}"

    def _lyes(self, koh_share):
        used = alkalis_used(koh_share)
        lyes = {alkali: self._lye(alkali) for alkali in used}
        lyes = {alkali: lye for alkali, lye in lyes.items() if lye}
        lyes |= lyes_for(set(used) - set(lyes), {})
        for alkali in used:
            if alkali not in lyes:
                raise Refused(
                    f"Write the purity of the {alkali}, as its tub or certificate "
                    "says: none is assumed, and no tub in the book has one."
                )
        return {alkali: lyes[alkali] for alkali in used}

    def _lye(self, alkali):
        """As typed, or of the lot named; None where nothing is said."""
        prefix = alkali.lower()
        facts, tub = self.cleaned_data, TUBS[alkali]
        for name in (f"{prefix}_purity", tub):
            if name in self.errors:
                raise Refused(self._fault_of(name))
        lot = facts.get(tub)
        purity = facts.get(f"{prefix}_purity")
        if purity is not None:
            return Lye(purity, basis=facts.get(f"{prefix}_basis") or "stated")
        if lot is None:
            return None
        if lot.item.alkali != alkali:
            raise Refused(
                f"{lot} is {lot.item}, not {alkali}. Read the code on the tub again."
            )
        return lye_of(lot)
