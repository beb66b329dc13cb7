"""What a craft day asks for: recipes that fit the paste, lots that stand open."""

from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from django import forms

from production.batches.forms.plans import row, rows_of
from production.batches.reads.bench import first_lots
from production.contents.reads.reweighing import soap_content
from production.fitness.reads.stock import unfit_though_released
from production.fragrance.reads import remarks_of
from production.pages.forms.fields import AmountField, Choice
from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused
from production.recipes.domain.scaling.chain import TOGETHER, Target
from production.recipes.models.formulas import Version
from production.recipes.reads.packs import open_packs
from production.recipes.reads.planning import (
    OneBatch,
    dilution_of,
    one_batch,
    water_at_hand,
)
from production.record.reads.clock import today
from production.stock.forms.choices import lots_to_choose
from production.stock.forms.fields import LotField
from production.stock.models.batches import Stage
from production.stock.models.lots import Lot, Status
from production.stock.reads.lookup import lot_or_none
from production.workshop.models.items import Item

CATEGORY = Item.Category
AT_THE_BENCH = {
    CATEGORY.ADDITIVE,
    CATEGORY.FRAGRANCE,
    *(Item.ADDITIVES - {CATEGORY.ACID}),
}


@dataclass
class DayPlan:
    """What the page below starts with, figures to show, and remarks to heed."""

    initial: dict = field(default_factory=dict)
    rows: dict = field(default_factory=dict)
    figures: list = field(default_factory=list)
    remarks: list = field(default_factory=list)
    losses: dict = field(default_factory=dict)


def versions(stage):
    found = Version.objects.filter(formula__stage=stage)
    return found.select_related("formula__makes").order_by("formula__name", "-number")


def latest_of(stage, item):
    """The latest wording of each recipe of a stage that takes this item."""
    found: dict[int, Any] = {}
    fits = versions(stage).filter(lines__item=item)
    for version in fits.prefetch_related("lines__item"):
        found.setdefault(version.formula_id, version)
    return list(found.values())


def only_recipe(stage, item):
    """The one recipe that fits; where several do, a person chooses."""
    fits = latest_of(stage, item)
    return fits[0] if len(fits) == 1 else None


def pastes():
    """Released pastes with something left that may go on, for the first touch."""
    found = (
        Lot.objects.to_go_on()
        .filter(
            status=Status.Word.RELEASED, batch__stage__in=[Stage.COOK, Stage.REWORK]
        )
        .filter(item__unit=Item.Unit.GRAM)
        .select_related("item")
        .order_by("-id")[:20]
    )
    unfit = unfit_though_released(found, today())
    return [lot for lot in found if lot.pk not in unfit]


class DayPlanForm(forms.Form):
    """By GET: the paste, how much of it, and the recipes of the day if any."""

    paste = LotField(label="Paste, lot")
    amount = AmountField(label="How much of it", unit="g", required=False)
    dilution = Choice(
        Version.objects.none(),
        label="Recipe to dilute by",
        required=False,
        empty_label="without a recipe",
    )
    finishing = Choice(
        Version.objects.none(),
        label="Recipe to finish by",
        required=False,
        empty_label="without a recipe",
    )

    def __init__(self, data, *, on):
        self.on = on
        super().__init__(self._with_recipes(data) if data.get("paste") else None)
        self.fields["dilution"].queryset = versions(Stage.DILUTION)
        self.fields["finishing"].queryset = versions(Stage.FINISHING)

    def _with_recipes(self, data):
        """The recipes that fit, where nobody has chosen yet."""
        data = data.copy()
        paste = lot_or_none(data["paste"])
        if paste is None or "dilution" in data or "finishing" in data:
            return data
        dilution = only_recipe(Stage.DILUTION, paste.item)
        finishing = dilution and only_recipe(Stage.FINISHING, dilution.formula.makes)
        data["dilution"] = str(dilution.pk) if dilution else ""
        data["finishing"] = str(finishing.pk) if finishing else ""
        return data

    def chosen(self, name):
        return (
            self.cleaned_data.get(name) if self.is_bound and self.is_valid() else None
        )

    def first_fields(self):
        """Before a paste is chosen the recipes are left to it."""
        return [self["paste"], self["amount"]]

    @property
    def suggestions(self):
        return {"lots": lots_to_choose(batch__stage__in=[Stage.COOK, Stage.REWORK])}

    def plan(self):
        if not self.is_bound or not self.is_valid():
            return DayPlan()
        paste, amount = self.cleaned_data["paste"], self.cleaned_data["amount"]
        plan = DayPlan(initial={"paste": paste.code, "water": water_at_hand(self.on)})
        if amount:
            plan.initial["paste_amount"] = amount.typed
        plan.rows["additions"] = []
        diluted = self._diluted(plan, paste, amount)
        plan.rows["additions"] += self._additions(plan, diluted)
        version = self.cleaned_data["finishing"]
        if version is not None:
            soap = version.formula.makes
            plan.rows["fillings"] = filling_rows(soap, self.on, plan.remarks)
        return plan

    def _diluted(self, plan, paste, amount):
        """The dilution as planned, None where it cannot be said."""
        version = self.cleaned_data["dilution"]
        known = soap_content(paste, self.on)
        if known is not None:
            text = f"soap in {paste}, {known.whence}"
            plan.figures.append((text, round(known.share * 100, 1), "%"))
        if version is None or not amount:
            return None
        if known is None and version.target_soap is not None:
            plan.remarks.append(
                f"The soap content of {paste} is not known: the shares of {version} "
                "count instead."
            )
        target = Target(amount.grams_or_pieces, paste.item_id)
        try:
            how = dilution_of(paste, version, self.on)
            batch = OneBatch(version, target, paste=paste, dilution=how)
            stage, stock = one_batch(batch, self.on)
        except Refused as fault:
            plan.remarks.append(str(fault))
            return None
        rows, remarks = rows_of(stage, {paste.item_id: paste}, stock.packs)
        plan.remarks += [*remarks, *stage.remarks]
        for one in rows:
            if one["of"] == paste.item_id:
                continue
            if one["item"].category != CATEGORY.WATER:
                plan.rows["additions"].append(one)
            else:
                plan.initial |= {"water": one["lot"], "water_amount": one["amount"]}
                plan.figures.append(("water to add", one["exact"], "g"))
        plan.figures.append(("together", stage.together, "g"))
        plan.losses["dilution"] = stage.loss
        return stage

    def _additions(self, plan, diluted):
        version = self.cleaned_data["finishing"]
        if version is None:
            return [
                {"lot": lot.code, "wanted": str(lot.item), "of": lot.item_id}
                for lot in open_packs(self.on).values()
                if lot.item.category in AT_THE_BENCH or _prepared(lot)
            ]
        amount = Target(Decimal(1000), TOGETHER)
        if diluted is not None:
            made = diluted.comes_out or diluted.together
            amount = Target(made, diluted.plan.stage.makes.key)
        try:
            stage, stock = one_batch(OneBatch(version, amount), self.on)
        except Refused as fault:
            plan.remarks.append(str(fault))
            return []
        made = self.cleaned_data["dilution"]
        soap = made.formula.makes_id if made else 0
        rows, said = rows_of(stage, {}, stock.packs, but=soap)
        rows = list(_first_rows(rows).values())
        plan.losses["finishing"] = stage.loss
        if diluted is None:
            # How much is not known yet: the lots alone.
            known = ("lot", "of")
            return [
                {name: one[name] for name in known} | {"wanted": str(one["item"])}
                for one in rows
            ]
        plan.remarks += [*said, *stage.remarks, *remarks_of(stage)]
        return rows


def _first_rows(rows):
    """One row for each thing; the next pack is gone on with as the day is written."""
    found: dict[Any, Any] = {}
    for one in rows:
        first = found.setdefault(one["of"], one)
        if first is not one:
            whole = first["exact"] + one["exact"]
            found[one["of"]] = row(one["item"], whole, first["lot"])
    return found


def _prepared(lot):
    """A premix of the house, such as brine."""
    return lot.batch_id is not None and lot.batch.stage == Stage.PREPARATION


def filling_rows(soap, on, remarks):
    """The fillings by their recipes, their packs those that stand open.

    A recipe's packaging stands in the box of what its card says it serves as.
    """
    lines = {v: list(v.lines.all()) for v in latest_of(Stage.FILLING, soap)}
    packs = [line.item for held in lines.values() for line in held if _is_pack(line)]
    first = first_lots(packs, on)
    rows = []
    for version, held in lines.items():
        row = {"what": f"v{version.pk}"}
        for line in held:
            if line.item == soap and line.each:
                row["net_mass"] = f"{plain(line.each)} g"
            elif not _is_pack(line):
                continue
            elif not line.item.serves_as:
                remarks.append(
                    f"Say on the card of {line.item} what it serves as, container, "
                    f"closure or label: {version} takes it, and no box here has it."
                )
            elif line.item.serves_as in row:
                what = line.item.get_serves_as_display()
                remarks.append(
                    f"{version} takes {line.item}, too: here is one box for each "
                    f"{what}. Write that filling on a page of its own."
                )
            else:
                row[line.item.serves_as] = first.get(line.item_id, "")
        rows.append(row)
    return rows


def _is_pack(line):
    return line.item.kind == Item.Kind.PACKAGING
