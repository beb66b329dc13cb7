"""What a recipe asks for, with lots proposed: earliest expiry first.

An alkali lot is never proposed: its code is typed, and its purity decides how much.
"""

from dataclasses import dataclass, field
from decimal import Decimal

from django import forms

from production.domain.chemistry.dilution import dilute_to
from production.domain.chemistry.recipe import Oil, Recipe
from production.domain.chemistry.saponification import saponify
from production.domain.numbers import grams, plain
from production.domain.refusal import Refused
from production.forms.deed import lots_to_choose, released_lots
from production.forms.fields import (
    AmountField,
    Choice,
    LotField,
    PercentField,
    understand,
)
from production.models import Item, Stage, Version
from production.reads.packs import open_pack, open_packs, shares_of
from production.reads.stock import latest_measurement


@dataclass(frozen=True)
class Plan:
    """Rows for the form below, figures to show, and remarks to heed."""

    rows: list = field(default_factory=list)
    figures: list = field(default_factory=list)
    remarks: list = field(default_factory=list)
    expected: Decimal | None = None


def wanted(item, amount):
    unit = "g" if item.unit == Item.Unit.GRAM else "pieces"
    return f"{item}, {plain(amount)} {unit}"


def row(item, amount, code=""):
    text = plain(amount) + (" g" if item.unit == Item.Unit.GRAM else "")
    return {"lot": code, "amount": text, "wanted": wanted(item, amount), "of": item.pk}


def proposed(item, amount, on):
    """Rows that take an amount out of lots, or one empty row that says why not."""
    amount = grams(amount)
    if item.unit == Item.Unit.PIECE:
        amount = amount.to_integral_value(rounding="ROUND_UP")
    if item.on_tap:
        return [row(item, amount, item.name)], []
    if item.category == Item.Category.ALKALI:
        return [row(item, amount)], [f"Type the code of the {item} lot you weigh from."]
    try:
        shares = shares_of(item, amount, on)
    except Refused as fault:
        return [row(item, amount)], [f"{item}: {fault}"]
    rows = [row(item, part, code) for code, part in shares]
    return rows, spans(item, shares, on)


def spans(item, shares, on):
    """What to say when the pack that stands open does not hold the whole amount."""
    pack = open_pack(item, on) if len(shares) > 1 else None
    if pack is None:
        return []
    rest = ", ".join(
        f"{plain(part)} {'g' if item.unit == 'g' else 'pieces'} from {code}"
        for code, part in shares[1:]
    )
    return [f"{item}: the open pack {pack.code} runs out, then {rest}."]


def gather(needs, on):
    rows, remarks = [], []
    for item, amount in needs:
        if amount > 0:
            more, said = proposed(item, amount, on)
            rows += more
            remarks += said
    return rows, remarks


class PlanForm(forms.Form):
    """Filled in first, by GET: which recipe, and how much of it."""

    version = Choice(
        Version.objects.none(), label="Recipe", required=False, empty_label="none"
    )

    def __init__(self, data, *, stage, on):
        self.stage, self.on = stage, on
        super().__init__(data if data and "version" in data else None)
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
            return self.work_out()
        except Refused as fault:
            self.add_error(None, str(fault))
            return Plan()

    def suggestions(self):
        return released_lots()


class CookPlanForm(PlanForm):
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

    def work_out(self):
        facts = self.cleaned_data
        version, oils = facts["version"], facts["oils"]
        if version is None or not oils:
            return Plan()
        lines = list(version.lines.select_related("item__oil"))
        total = oils.grams_or_pieces
        rows, remarks = gather([(ln.item, ln.share * total) for ln in lines], self.on)
        if facts["alkali_lot"] is None:
            remarks.append("Type the code of the alkali lot: its purity decides.")
            return Plan(rows, [("oils", grams(total), "g")], remarks)
        cooked = saponify(self._recipe(version, lines, total))
        return self._with_lye(version, cooked, rows, remarks, total)

    def _recipe(self, version, lines, total):
        soda = self.cleaned_data["soda_lot"]
        return Recipe(
            oils=[
                _oil(line, total)
                for line in lines
                if line.item.category == Item.Category.OIL
            ],
            superfat=version.superfat,
            koh_share=version.koh_share,
            water_per_alkali=version.water_per_alkali,
            **_purity("koh", self._alkali("alkali_lot", "KOH")),
            **(_purity("naoh", self._alkali("soda_lot", "NaOH")) if soda else {}),
        )

    def _alkali(self, name, kind):
        lot = self.cleaned_data[name]
        if lot.item.alkali != kind:
            raise Refused(f"{lot} is {lot.item}, not {kind}. Read the code again.")
        return lot

    def _with_lye(self, version, cooked, rows, remarks, total):
        facts = self.cleaned_data
        weighed = [
            (facts["alkali_lot"], grams(cooked.koh_weighed)),
            (facts["soda_lot"], grams(cooked.naoh_weighed)),
        ]
        weighed = [(lot, amount) for lot, amount in weighed if lot and amount]
        rows += [row(lot.item, amount, lot.code) for lot, amount in weighed]
        figures = [("oils", grams(total), "g")]
        figures += [(f"alkali from {lot}", amount, "g") for lot, amount in weighed]
        if cooked.lye_water is None:
            return Plan(rows, figures, remarks + list(cooked.remarks))
        more, said = water_rows(cooked.lye_water, self.on)
        figures.append(("water", grams(cooked.lye_water), "g"))
        expected = grams(cooked.paste * (1 - (version.loss or 0)))
        return Plan(
            rows + more, figures, remarks + said + list(cooked.remarks), expected
        )


def _oil(line, total):
    reference = line.item.oil
    if reference is None:
        raise Refused(
            f"{line.item} has no saponification value: choose its published oil on "
            "its card."
        )
    return Oil(
        name=line.item.name,
        grams=line.share * total,
        sv=reference.sv,
        kind=reference.kind,
    )


def _purity(name, lot):
    purity = latest_measurement(lot, "purity")
    if purity is None:
        raise Refused(
            f"The purity of {lot} is not in the book. Note it from the tub or its "
            "certificate first: none is assumed."
        )
    carbonate = latest_measurement(lot, "carbonate")
    values = {f"{name}_purity": purity.value}
    if carbonate is not None:
        values[f"{name}_carbonate"] = carbonate.value
    return values


def water_rows(amount, on):
    """Water that stands open, else on tap, else the lots of an item called water."""
    waters = Item.objects.filter(category=Item.Category.WATER).order_by(
        "-on_tap", "name"
    )
    opened = open_packs(on, waters)
    waters = sorted(waters, key=lambda item: item.pk not in opened)
    for item in waters:
        rows, remarks = proposed(item, amount, on)
        if all(row["lot"] for row in rows):
            return rows, remarks
    if waters:
        return proposed(waters[0], amount, on)
    return [], [f"Add {plain(grams(amount))} g of water: no item is of that category."]


class DilutionPlanForm(PlanForm):
    paste = LotField(label="Paste, lot", required=False)
    amount = AmountField(label="How much of it", unit="g", required=False)
    soap_content = PercentField(
        label="Its soap content, %",
        required=False,
        high=True,
        help_text="Left empty, the latest value in the book counts.",
    )
    target = PercentField(
        label="Wanted soap content, %",
        required=False,
        help_text="Left empty, the recipe says it.",
    )

    def work_out(self):
        facts = self.cleaned_data
        paste, amount, version = facts["paste"], facts["amount"], facts["version"]
        if paste is None or not amount:
            return Plan()
        target = facts["target"] or (version.target_soap if version else None)
        if target is None:
            raise Refused("Write the soap content that is wanted.")
        mixed = dilute_to(amount.grams_or_pieces, self._content(paste), target)
        more, said = water_rows(mixed.water, self.on)
        kept = 1 - ((version.loss if version else None) or 0)
        return Plan(
            [row(paste.item, mixed.paste, paste.code), *more],
            [
                ("water to add", grams(mixed.water), "g"),
                ("together", grams(mixed.total), "g"),
            ],
            said,
            grams(mixed.total * kept),
        )

    def _content(self, paste):
        typed = self.cleaned_data["soap_content"]
        if typed is not None:
            return typed
        known = latest_measurement(paste, "soap content")
        if known is None:
            raise Refused(f"The soap content of {paste} is not in the book: write it.")
        return known.value


class SharePlanForm(PlanForm):
    """Preparation, finishing, filling, packing, rework: shares of what is made."""

    amount = AmountField(label="How much to make", required=False)

    def clean(self):
        facts = super().clean()
        if version := facts.get("version"):
            understand(self, "amount", version.formula.makes)
        return facts

    def work_out(self):
        version, amount = self.cleaned_data["version"], self.cleaned_data["amount"]
        if version is None or not amount:
            return Plan()
        made = amount.grams_or_pieces
        lines = list(version.lines.select_related("item"))
        needs = [
            (ln.item, made * (ln.share if ln.share is not None else ln.each))
            for ln in lines
        ]
        rows, remarks = gather(needs, self.on)
        rest = made - sum((need for _, need in needs), Decimal(0))
        if all(line.share is not None for line in lines) and rest > 0:
            more, said = water_rows(rest, self.on)
            rows, remarks = rows + more, remarks + said
        unit = "g" if version.formula.makes.unit == "g" else "pieces"
        kept = 1 - (version.loss or 0)
        return Plan(rows, [("to make", made, unit)], remarks, grams(made * kept))

    def suggestions(self):
        return lots_to_choose() if self.stage == Stage.REWORK else released_lots()


PLANS = {Stage.COOK: CookPlanForm, Stage.DILUTION: DilutionPlanForm}


def plan_form(data, *, stage, on):
    return PLANS.get(stage, SharePlanForm)(data, stage=stage, on=on)
