"""What a craft day asks for: recipes that fit the paste, lots that stand open."""

from dataclasses import dataclass, field
from decimal import Decimal

from django import forms

from production.domain.chemistry.dilution import dilute_to
from production.domain.craft_day import to_finish
from production.domain.numbers import plain
from production.domain.refusal import Refused
from production.forms.deed import lots_to_choose, today
from production.forms.fields import AmountField, Choice, LotField
from production.forms.plans import row, spans, water_rows
from production.models import Item, Lot, Stage, Status, Version
from production.reads.lookup import lot_or_none
from production.reads.packs import open_packs, shares_of
from production.reads.proposals import first_lots
from production.reads.stock import latest_measurement, unfit_though_released
from production.reads.stored import content_on

CATEGORY = Item.Category
# Targets to a tenth of a gram: finer than a kitchen scale of that size reads.
FINE = 1
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


def versions(stage):
    found = Version.objects.filter(formula__stage=stage)
    return found.select_related("formula__makes").order_by("formula__name", "-number")


def latest_of(stage, item):
    """The latest wording of each recipe of a stage that takes this item."""
    found = {}
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


def soap_in(paste):
    """Its soap content and whence; None where neither the pot nor a reading says."""
    read = latest_measurement(paste, "soap content", on=today())
    if read is not None:
        return read.value, f"{read.basis} on {read.on}"
    followed = content_on(paste, "soap content", today())
    return (followed.now, "worked out from its pot") if followed else (None, "")


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
        plan = DayPlan(initial={"paste": paste.code})
        if amount:
            plan.initial["paste_amount"] = amount.typed
        mixed = self._water(plan, paste, amount)
        plan.rows["additions"] = self._additions(plan, mixed)
        version = self.cleaned_data["finishing"]
        if version is not None:
            soap = version.formula.makes
            plan.rows["fillings"] = filling_rows(soap, self.on, plan.remarks)
        return plan

    def _water(self, plan, paste, amount):
        """Grams of diluted soap to expect, None where it cannot be said."""
        version = self.cleaned_data["dilution"]
        content, whence = soap_in(paste)
        if content is not None:
            text = f"soap in {paste}, {whence}"
            plan.figures.append((text, round(content * 100, 1), "%"))
        water = self._wanted_water(plan, version, paste, amount, content)
        rows, remarks = water_rows(water or Decimal(1), self.on)
        if rows:
            plan.initial["water"] = rows[0]["lot"]
        if water is None:
            return None
        plan.remarks += remarks
        water = round(water, FINE)
        plan.initial["water_amount"] = f"{plain(water)} g"
        plan.figures.append(("water to add", water, "g"))
        plan.figures.append(("together", amount.grams_or_pieces + water, "g"))
        return (amount.grams_or_pieces + water) * (1 - (version.loss or 0))

    def _wanted_water(self, plan, version, paste, amount, content):
        if version is None or not amount:
            return None
        if version.target_soap is None or content is None:
            line = version.lines.filter(item=paste.item, share__gt=0).first()
            if version.target_soap is not None:
                plan.remarks.append(
                    f"The soap content of {paste} is not known: the shares of "
                    f"{version} count instead."
                )
            return line and amount.grams_or_pieces / line.share - amount.grams_or_pieces
        try:
            return dilute_to(amount.grams_or_pieces, content, version.target_soap).water
        except Refused as fault:
            plan.remarks.append(str(fault))
            return None

    def _additions(self, plan, mixed):
        version = self.cleaned_data["finishing"]
        if version is None:
            return [
                {"lot": lot.code, "wanted": str(lot.item), "of": lot.item_id}
                for lot in open_packs(self.on).values()
                if lot.item.category in AT_THE_BENCH or _prepared(lot)
            ]
        lines = list(version.lines.select_related("item"))
        amounts = self._targets(plan, lines, mixed)
        return [
            self._addition(plan, line.item, amounts.get(line.item.name))
            for line in lines
            if line.item != self._diluted()
        ]

    def _diluted(self):
        version = self.cleaned_data["dilution"]
        return version.formula.makes if version else None

    def _targets(self, plan, lines, mixed):
        soap = [line.share for line in lines if line.item == self._diluted()]
        shares = {line.item.name: line.share for line in lines if line.share}
        if mixed is None or not soap:
            return {}
        try:
            return to_finish(mixed, soap[0] or Decimal(0), shares)
        except Refused as fault:
            plan.remarks.append(str(fault))
            return {}

    def _addition(self, plan, item, amount):
        if item.is_alkali:
            plan.remarks.append(f"Type the code of the {item} lot you weigh from.")
            return {"wanted": str(item), "of": item.pk}
        try:
            shares = shares_of(item, amount or Decimal("0.001"), self.on)
        except Refused as fault:
            plan.remarks.append(f"{item}: {fault}")
            shares = []
        plan.remarks += spans(item, shares, self.on)
        code = item.name if item.on_tap else shares[0][0] if shares else ""
        if amount is None:
            return {"lot": code, "wanted": str(item), "of": item.pk}
        return row(item, round(amount, FINE), code)


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
