"""What a recipe asks for, with lots proposed: open pack first, then earliest expiry.

An alkali lot is never proposed: its code is typed, and its purity decides how much.
"""

from dataclasses import dataclass, field
from decimal import Decimal

from django import forms

from production.fitness.forms import released_lots
from production.fragrance.reads import remarks_of
from production.pages.forms.fields import (
    TUBS,
    AmountField,
    Choice,
    NumberField,
    PercentField,
    parse_amount,
)
from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused
from production.recipes.domain.scaling.chain import OILS, OUT, TOGETHER, Target
from production.recipes.domain.scaling.work_out import PlannedStage
from production.recipes.models.formulas import Version
from production.recipes.reads.experience import learnt_by
from production.recipes.reads.planning import OneBatch, dilution_of, items_of, one_batch
from production.stock.forms.choices import lots_to_choose
from production.stock.forms.fields import LotField
from production.stock.models.batches import Stage
from production.workshop.models.items import Item
from production.workshop.models.places import Vessel


@dataclass(frozen=True)
class Plan:
    """Rows for the form below, figures to show, and remarks to heed.

    ``stage`` is what the planner says, None while too little is typed.
    """

    rows: list = field(default_factory=list)
    figures: list = field(default_factory=list)
    remarks: list = field(default_factory=list)
    stage: PlannedStage | None = None

    @property
    def expected(self):
        """What should come out; None where no loss is said."""
        return self.stage and self.stage.comes_out

    @property
    def loss(self):
        """The share of loss that was planned with; None where none is known."""
        return self.stage and self.stage.loss

    @property
    def cooked(self):
        """The whole answer of a cook, with how sure its superfat is."""
        return self.stage and self.stage.cooked


def row(item, amount, code=""):
    """A proposed row; what the batch sheet needs of it goes along."""
    gram = item.unit == Item.Unit.GRAM
    return {
        "lot": code,
        "amount": plain(amount) + (" g" if gram else ""),
        "wanted": f"{item}, {plain(amount)} {'g' if gram else 'pieces'}",
        "of": item.pk,
        "item": item,
        "exact": amount,
    }


def rows_of(planned, chosen, packs, but=0):
    """Rows for what a stage takes, and what to say where one cannot be filled in.

    ``chosen`` are the lots that somebody named, by the key of their item; ``packs`` the
    codes of what stands open; ``but`` the key of an item that needs no row.
    """
    items, rows, remarks = items_of([planned]), [], []
    for taken in planned.taken:
        if but and taken.need.item.key == but:
            continue
        item, amount = items.get(taken.need.item.key), taken.need.amount
        if item is None:
            remarks.append(
                f"Add {plain(amount)} g of water: no item is of that category."
            )
            continue
        found, said = _row_or_rows(item, taken, chosen.get(item.pk), packs)
        rows += [one | {"goes_in": taken.goes_in} for one in found]
        remarks += said
    return rows, remarks


def _row_or_rows(item, taken, lot, packs):
    amount = taken.need.amount
    if lot is not None:
        one = _from_tub(lot, amount) if item.is_alkali else row(item, amount, lot.code)
        held = amount - taken.short
        return [one], [
            f"{lot}: {plain(held)} of {plain(amount)} g stand ready in it, "
            f"{plain(taken.short)} g short."
        ] if taken.short else []
    if item.is_alkali:
        return [row(item, amount) | {"amount": ""}], [
            f"Type the code of the {item} lot you weigh from."
        ]
    if taken.short:
        held, text = plain(amount - taken.short), plain(amount)
        return [row(item, amount)], [
            f"{item}: Only {held} of {text} are on hand, {plain(taken.short)} short: "
            "use less, or record the delivery that is missing."
        ]
    rows = [row(item, share.amount, share.code) for share in taken.shares]
    return rows, spans(item, taken.shares, packs)


def _from_tub(lot, amount):
    """What was planned goes along; how much was weighed is read off the balance."""
    planned = {"planned": lot.code, "planned_amount": plain(amount)}
    return row(lot.item, amount, lot.code) | planned | {"amount": ""}


def spans(item, shares, packs):
    """What to say when the pack that stands open does not hold the whole amount."""
    pack = packs.get(item.pk)
    if len(shares) < 2 or shares[0].code != pack:
        return []
    rest = ", ".join(
        f"{plain(one.amount)} {'g' if item.unit == 'g' else 'pieces'} from {one.code}"
        for one in shares[1:]
    )
    return [f"{item}: the open pack {pack} runs out, then {rest}."]


class PlanForm(forms.Form):
    """Filled in first, by GET: which recipe, and how much of it.

    Each kind says with ``batch()`` what is to be planned, None while too little is
    typed, and with ``figures(stage, rows)`` what is shown above the rows.
    """

    version = Choice(
        Version.objects.none(), label="Recipe", required=False, empty_label="none"
    )
    loss = PercentField(
        label="Expected loss, %",
        required=False,
        help_text="Left empty, what the last batches lost counts, or the recipe says "
        "it.",
    )
    vessel = Choice(Vessel.objects.all(), label="In which vessel", required=False)
    at = forms.TimeField(
        label="Starts at",
        required=False,
        widget=forms.TimeInput(format="%H:%M", attrs={"type": "time"}),
        help_text="For the batch sheet: its steps get their clock time.",
    )
    last = ("loss", "vessel", "at")

    def __init__(self, data, *, stage, on):
        self.stage, self.on = stage, on
        super().__init__(data if data and "version" in data else None)
        self.order_fields([n for n in self.fields if n not in self.last])
        if stage in (Stage.FILLING, Stage.PACKING):
            del self.fields["vessel"]
        versions = Version.objects.filter(formula__stage=stage)
        self.fields["version"].queryset = versions.select_related(
            "formula__makes"
        ).order_by("formula__name", "-number")

    @property
    def chosen(self):
        """The recipe chosen, None without one."""
        return self.cleaned_data.get("version") if self.is_valid_once() else None

    def is_valid_once(self):
        return (self.is_bound and hasattr(self, "cleaned_data")) or self.is_valid()

    def plan(self):
        """A Plan; a refusal lands on the form and leaves the rows empty."""
        if not self.is_bound or not self.is_valid():
            return Plan()
        try:
            batch = self.batch()
            return self._told(batch) if batch else Plan()
        except Refused as fault:
            self.add_error(None, str(fault))
            return Plan()

    def loss_of(self, plan):
        """The loss that a batch keeps from its start: planned, typed, or learnt."""
        if plan.stage is not None or self.chosen is None:
            return plan.loss
        if (typed := self.cleaned_data.get("loss")) is not None:
            return typed
        learnt = learnt_by(self.chosen.formula.name)
        return learnt.share if learnt else None

    def _told(self, batch):
        stage, stock = one_batch(batch, self.on)
        chosen = {lot.item_id: lot for lot in batch.lots}
        rows, remarks = rows_of(stage, chosen, stock.packs)
        figures = self.figures(stage, rows)
        said = [*remarks, *stage.remarks, *remarks_of(stage)]
        return Plan(rows, figures, said + self.to_heed(), stage)

    def to_heed(self):
        """What else is said below the figures."""
        return []

    def occasion(self):
        """Clock and vessel, where they are asked for."""
        facts = self.cleaned_data
        return {"start": facts.get("at"), "vessel": facts.get("vessel")}

    def suggestions(self):
        return lots_to_choose() if self.stage == Stage.REWORK else released_lots()


class CookPlanForm(PlanForm):
    """A cook: oils out of their lots, the lye from the purity of its tub."""

    oils = AmountField(label="Oils in all", unit="g", required=False)
    alkali_lot = LotField(
        label="Potassium hydroxide, lot",
        required=False,
        help_text="Read the code off the tub. Its purity decides how much is weighed.",
    )
    soda_lot = LotField(
        label="Sodium hydroxide, lot",
        required=False,
        help_text="Only where the recipe asks for some.",
    )

    def batch(self):
        facts = self.cleaned_data
        version, oils = facts["version"], facts["oils"]
        if version is None or not oils:
            return None
        tubs = {alkali: facts[tub] for alkali, tub in TUBS.items()}
        target = Target(oils.grams_or_pieces, OILS)
        return OneBatch(
            version, target, facts["loss"], tubs, vessel=facts.get("vessel")
        )

    def figures(self, stage, rows):
        lye = [one for one in rows if one["item"].is_alkali]
        water = stage.cooked and stage.cooked.result.lye_water
        return [
            ("oils", stage.oils or self.cleaned_data["oils"].grams_or_pieces, "g"),
            *((f"alkali from {one['lot']}", one["exact"], "g") for one in lye),
            *([("water", water, "g")] if water is not None else []),
        ]


class DilutionPlanForm(PlanForm):
    """Paste and water: to a soap content, by parts of water, or to so much in all."""

    paste = LotField(label="Paste, lot", required=False)
    amount = AmountField(label="How much of it", unit="g", required=False)
    together = AmountField(
        label="Or how much diluted soap",
        unit="g",
        required=False,
        help_text="The paste for it is worked out.",
    )
    soap_content = PercentField(
        label="Its soap content, %",
        required=False,
        high=True,
        help_text="Left empty, the latest value in the book counts, or what went in.",
    )
    target = PercentField(
        label="Wanted soap content, %",
        required=False,
        high=True,
        help_text="Left empty, the recipe says it.",
    )
    parts = NumberField(
        label="Or parts of water to 1 part of paste",
        places=3,
        required=False,
    )

    def batch(self):
        facts = self.cleaned_data
        paste, amount = facts["paste"], facts["amount"]
        if paste is None or not (amount or facts["together"]):
            return None
        if facts["soap_content"] is not None and not facts["soap_content"]:
            raise Refused("Write a soap content above 0 % for the paste.")
        how = dilution_of(
            paste,
            facts["version"],
            self.on,
            content=facts["soap_content"],
            target=facts["target"],
            parts=facts["parts"],
        )
        wanted = (
            Target(amount.grams_or_pieces, paste.item_id)
            if amount
            else Target(facts["together"].grams_or_pieces, TOGETHER)
        )
        return OneBatch(
            facts["version"], wanted, facts["loss"], paste=paste, dilution=how
        )

    def figures(self, stage, rows):
        water = [one for one in rows if one["item"].category == Item.Category.WATER]
        then = round(stage.plan.stage.plan.target * 100, 2)
        return [
            ("water to add", sum((one["exact"] for one in water), Decimal(0)), "g"),
            ("together", stage.together, "g"),
            *([("soap content then", then, "%")] if then else []),
        ]

    def to_heed(self):
        """How long what is made may stand before it is finished."""
        version = self.cleaned_data["version"]
        if version is None or not version.shelf_days:
            return []
        return [
            f"Finish and fill it within {version.shelf_days} days, as the recipe says; "
            "kept longer it is tested again."
        ]


class SharePlanForm(PlanForm):
    """Preparation, finishing, filling, packing, rework: shares of what is made."""

    amount = AmountField(label="How much to make", required=False)

    def clean(self):
        facts = super().clean()
        if version := facts.get("version"):
            parse_amount(self, "amount", version.formula.makes)
        return facts

    def batch(self):
        facts = self.cleaned_data
        version, amount = facts["version"], facts["amount"]
        if version is None or not amount:
            return None
        counted = version.formula.makes.unit == Item.Unit.PIECE
        # So many pieces are wanted in the end: what is lost is soap, and comes on top.
        target = Target(amount.grams_or_pieces, OUT if counted else TOGETHER)
        return OneBatch(version, target, facts["loss"])

    def figures(self, stage, rows):
        counted = stage.plan.stage.makes.counted
        made = stage.plan.comes_out if counted else stage.together
        return [("to make", made, "pieces" if counted else "g")]


PLANS = {Stage.COOK: CookPlanForm, Stage.DILUTION: DilutionPlanForm}


def plan_form(data, *, stage, on):
    return PLANS.get(stage, SharePlanForm)(data, stage=stage, on=on)
