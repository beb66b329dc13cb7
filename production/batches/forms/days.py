"""A craft day on one page, in the order of the work: dilute, finish, fill."""

from decimal import Decimal
from typing import Any

from django import forms

from production.batches.actions.new_batch import NewBatch, Output
from production.batches.forms.batches import UseRow
from production.batches.forms.bench import put_in
from production.batches.forms.day_plan import versions
from production.batches.forms.losses import KINDS, AsksWhere, RestField
from production.batches.forms.working import (
    KIND,
    asks_overhead,
    kind_of,
    people_in,
    person_box,
    rate_of_an_hour,
    with_overhead,
)
from production.batches.reads.bench import Bench
from production.fitness.forms import released_lots
from production.pages.forms.deed import RowForm
from production.pages.forms.fields import (
    CHOOSE,
    AmountField,
    Choice,
    CodeField,
    MoneyField,
    NumberField,
    typed_in,
)
from production.quantities.domain.refusal import Refused
from production.quantities.domain.time_text import hours
from production.quantities.domain.units import Amount
from production.recipes.domain.craft_day import in_one_pot
from production.recipes.forms.bench import StepsField, lots_among
from production.record.reads.clock import today
from production.release.forms.checks import DayCheckForm
from production.stock.forms.choices import taps
from production.stock.forms.fields import LotField, SourceField
from production.stock.models.batches import Loss, Stage
from production.workshop.models.items import Item
from production.workshop.reads.rates import rates_on
from production.yields.domain.hours_and_losses import NewLoss, NewWork
from production.yields.reads import last_rate

PACKS = [serves for serves in Item.Serves.values if serves]


class AdditionRow(UseRow):
    """What the diluted soap takes up; written once its amount is."""

    tells = ("amount",)
    folded = ()
    surplus = None

    def uses(self, bench):
        facts = self.cleaned_data
        return put_in(bench, facts["lot"], facts["amount"])


class PackField(LotField):
    """A lot of packaging."""

    def __init__(self, **kwargs):
        super().__init__(required=False, **kwargs)

    def clean(self, value):
        lot = super().clean(value)
        if lot is not None and lot.item.kind != Item.Kind.PACKAGING:
            raise forms.ValidationError(f"{lot} is {lot.item}, no packaging.")
        return lot


class FillingRow(AsksWhere, RowForm):
    """So many pieces of one size; its packs are counted off piece by piece."""

    tells = ("pieces",)
    folded = ("box", "other", "soap", "code")
    what = forms.ChoiceField(label="What is filled")
    pieces = NumberField(places=0, label="Pieces")
    net_mass = AmountField(label="Net mass of one", unit="g")
    container = PackField(label="Container, lot")
    closure = PackField(label="Closure, lot")
    label = PackField(label="Label, lot")
    box = PackField(label="Outer box, lot")
    other = PackField(label="Other packaging, lot")
    soap = AmountField(
        label="Soap taken",
        unit="g",
        required=False,
        help_text="Left empty: pieces times net mass.",
    )
    code = CodeField(label="Own code of the lot")
    lost_as = RestField()

    def clean_what(self):
        """A recipe or, without one, a product: (version, item)."""
        kind, pk = self.cleaned_data["what"][0], self.cleaned_data["what"][1:]
        if kind == "v":
            version = versions(Stage.FILLING).get(pk=pk)
            return version, version.formula.makes
        return None, Item.objects.get(pk=pk)

    def folded_open(self):
        """Also where a recipe proposes what stands there."""
        return super().folded_open() or not self.initial.keys().isdisjoint(self.folded)

    def packs(self):
        """The lots of packaging that are written."""
        return [lot for name in PACKS if (lot := self.cleaned_data[name])]

    def new_batch(self, bench):
        facts = self.cleaned_data
        version, item = facts["what"]
        pieces, net = facts["pieces"], facts["net_mass"].grams_or_pieces
        each = dict(version.lines.values_list("item", "each")) if version else {}
        uses = []
        for lot in self.packs():
            amount = Amount(pieces * (each.get(lot.item_id) or 1), "")
            uses += put_in(bench, lot, amount)
        return NewBatch(
            stage=Stage.FILLING,
            version=version,
            uses=uses,
            taken=facts["soap"].grams_or_pieces if facts["soap"] else pieces * net,
            lost_as=facts["lost_as"],
            mark=self.add_prefix("lost_as"),
            output=Output(amount=pieces, item=item, net_mass=net, code=facts["code"]),
        )


def what_is_filled():
    """Latest filling recipes, then products without one."""
    found: dict[int, Any] = {}
    for version in versions(Stage.FILLING):
        words = f"{version.formula.makes}, by recipe v{version.number}"
        found.setdefault(version.formula_id, (f"v{version.pk}", words))
    products = Item.objects.filter(kind=Item.Kind.MADE, unit=Item.Unit.PIECE)
    bare = [(f"i{item.pk}", f"{item}, without a recipe") for item in products]
    return [CHOOSE, *found.values(), *bare]


class Section:
    """One stage of the page: what is asked before its rows, after them, and aside."""

    def __init__(self, form, heading, before, rows, after, aside):
        self.heading, self.row_sets = heading, rows
        self.before = [form[name] for name in before if name in form.fields]
        asked = [form[name] for name in after if name in form.fields]
        self.after = [box for box in asked if not box.is_hidden]
        self.aside = [form[name] for name in aside if name in form.fields]
        self.drawn_rows = [
            (name, words, form.rows[name], False) for name, words in rows
        ]

    @property
    def aside_open(self):
        return any(
            box.errors or (box.form.is_bound and box.value()) for box in self.aside
        )


class DayForm(AsksWhere, DayCheckForm):
    """Weights as they were read; the recipes were chosen above."""

    row_sets = {
        "additions": (AdditionRow, "What it takes up"),
        "fillings": (FillingRow, "Bottles"),
    }
    spare_rows = 2
    _diluted: Decimal
    made = Item.objects.filter(kind=Item.Kind.MADE, unit=Item.Unit.GRAM)
    paste = LotField(label="Paste, lot")
    paste_amount = AmountField(label="Paste weighed in", unit="g")
    water = SourceField(label="Water, lot or tap")
    water_amount = AmountField(label="Water weighed in", unit="g")
    lost = AmountField(label="Lost on the way", unit="g", required=False)
    lost_as = forms.ChoiceField(label="Lost as", choices=KINDS, required=False)
    diluted_item = Choice(made, label="Diluted soap, as", empty_label="choose")
    diluted_amount = AmountField(
        label="Diluted soap, weighed",
        unit="g",
        required=False,
        help_text="Left empty, in one pot: all that went in, less what was lost.",
    )
    finished_item = Choice(made, label="Finished soap, as", empty_label="choose")
    finished_amount = AmountField(label="Finished soap, weighed", unit="g")
    sample = AmountField(label="Bench sample", unit="g", required=False)
    minutes = NumberField(label="Minutes of work", places=0, required=False)
    person = person_box(label="Who worked")
    rate = MoneyField(label="Rate for an hour", of="an hour", required=False)
    diluted_code = CodeField(label="Own code of the diluted soap")
    finished_code = CodeField(label="Own code of the finished soap")
    dilution_steps, finishing_steps = StepsField(), StepsField()
    diluted_rest, finished_rest = RestField(), RestField()

    def __init__(
        self, data=None, *, dilution=None, finishing=None, losses=None, **kwargs
    ):
        self.recipes = {"dilution": dilution, "finishing": finishing}
        self.losses = losses or {}
        if (kwargs.get("rows") or {}).get("fillings"):
            self.spare_rows = 0
        super().__init__(data, **kwargs)
        day = typed_in(self, "on") if self.is_bound else today()
        self.known = rates_on(day or today())
        asks_overhead(self, self.known)
        if self.known.people:
            self.fields["rate"].help_text = "Left empty: that person's, on the day."
        else:
            self.fields["rate"].initial = last_rate()
        for name, field in (("dilution", "diluted"), ("finishing", "finished")):
            if self.recipes[name] is not None:
                del self.fields[f"{field}_item"]
        choices = what_is_filled()
        for row in self.rows["fillings"]:
            row.fields["what"].choices = choices
        self.suggestions = {
            "lots": [*taps(), *released_lots()],
            "people": people_in(self.known),
        }
        self.remarks = []

    @property
    def sections(self):
        return [
            Section(
                self,
                "Dilute",
                ("paste", "paste_amount", "water", "water_amount"),
                (),
                ("lost", "lost_as", "diluted_item", "diluted_amount", "diluted_rest"),
                ("dilution_steps", "diluted_code"),
            ),
            Section(
                self,
                "Finish",
                (),
                [("additions", "")],
                (
                    "finished_item",
                    "finished_amount",
                    "finished_rest",
                    "sample",
                    "check",
                    "check_method",
                    "check_spots",
                    "check_found",
                ),
                ("finishing_steps", "finished_code"),
            ),
            Section(self, "Fill", (), [("fillings", "")], (), ()),
            Section(self, "Work", ("minutes", "person", "rate"), (), ("overhead",), ()),
        ]

    @property
    def weighs_lye(self):
        return any(row.is_lye for row in self.rows["additions"])

    def clean_paste(self):
        paste = self.cleaned_data["paste"]
        if paste.batch_id is None and paste.item.kind != Item.Kind.MADE:
            raise forms.ValidationError(f"{paste} is {paste.item}, no paste.")
        return paste

    def clean_water(self):
        source = self.cleaned_data["water"]
        item = source if isinstance(source, Item) else source.item
        plain_water = (Item.Category.WATER, Item.Category.UNKNOWN)
        if item.category not in plain_water or item.alkali:
            raise forms.ValidationError(f"{source} is {item}, not water.")
        return source

    def clean(self):
        facts = super().clean()
        if facts.get("minutes"):
            person, rate = " ".join(facts.get("person", "").split()), facts.get("rate")
            try:
                facts["rate"] = rate_of_an_hour(self.known, person, rate)
            except Refused as fault:
                self.add_error("rate", f"{fault} Or leave the minutes out.")
        return facts

    def arguments(self):
        facts = self.cleaned_data
        filled = self.rows["fillings"].written()
        bench = Bench(self._lots(filled), facts["on"])
        dilution = self._dilution(bench)
        finishing = self._finishing(bench)
        given = {
            "dilution": dilution,
            "finishing": finishing,
            "fillings": [row.new_batch(bench) for row in filled],
        }
        self.remarks = bench.remarks
        return self.signed() | given

    def _lots(self, filled):
        """All that the day names, but for what is on tap."""
        added = [row.cleaned_data["lot"] for row in self.rows["additions"].written()]
        packs = [lot for row in filled for lot in row.packs()]
        facts = self.cleaned_data
        return lots_among([facts["paste"], facts["water"], *added, *packs])

    def _dilution(self, bench):
        facts = self.cleaned_data
        uses = [
            *put_in(bench, facts["paste"], facts["paste_amount"]),
            *put_in(bench, facts["water"], facts["water_amount"]),
        ]
        losses = _loss(facts["lost_as"] or Loss.Kind.STEAM, facts["lost"])
        return self._batch("dilution", "diluted", uses, losses)

    def _finishing(self, bench):
        rows = self.rows["additions"].written()
        uses = [use for row in rows for use in row.uses(bench)]
        losses = _loss(Loss.Kind.SAMPLE, self.cleaned_data["sample"])
        return self._batch(
            "finishing",
            "finished",
            uses,
            losses,
            work=self._work(),
            readings=self.checked(),
        )

    def _batch(self, stage, made, uses, losses, **more):
        facts, version = self.cleaned_data, self.recipes[stage]
        weighed = facts[f"{made}_amount"]
        poured = [use.amount for use in uses]
        if stage == "finishing":
            poured.append(self._diluted)
        amount = (
            weighed.grams_or_pieces
            if weighed
            else in_one_pot(poured, [loss.amount for loss in losses])
        )
        if stage == "dilution":
            self._diluted = amount
        return NewBatch(
            stage=stage,
            version=version,
            loss=self.losses.get(stage),
            uses=uses,
            output=Output(
                amount=amount,
                item=facts.get(f"{made}_item"),
                code=facts[f"{made}_code"],
                typed=weighed.typed if weighed else "",
            ),
            losses=losses,
            steps=facts[f"{stage}_steps"],
            lost_as=facts[f"{made}_rest"],
            mark=f"{made}_rest",
            **more,
        )

    def _work(self):
        facts = self.cleaned_data
        if not facts["minutes"]:
            return []
        person = " ".join(facts["person"].split())
        kind = str(kind_of(self.known, KIND.LABOUR, person))
        done = NewWork(kind, hours(facts["minutes"]), facts["rate"], person)
        return with_overhead([done], self.known, facts.get("overhead"))


def _loss(kind, amount):
    return [NewLoss(kind, amount.grams_or_pieces)] if amount else []
