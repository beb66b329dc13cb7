"""What a recipe asks for, with lots proposed: earliest expiry first.

An alkali lot is never proposed: its code is typed, and its purity decides how much.
"""

from dataclasses import dataclass, field
from decimal import Decimal

from django import forms

from production.domain.numbers import grams, plain
from production.domain.refusal import Refused
from production.domain.yields import Poured, Terms, should_come_out
from production.forms.deed import released_lots
from production.forms.fields import Choice
from production.models import Item, Version, Vessel
from production.models.formulas import COUNTED
from production.reads.packs import open_pack, open_packs, shares_of


@dataclass(frozen=True)
class Plan:
    """Rows for the form below, figures to show, and remarks to heed.

    ``cooked`` is the whole answer of a cook, with how sure its superfat is.
    """

    rows: list = field(default_factory=list)
    figures: list = field(default_factory=list)
    remarks: list = field(default_factory=list)
    expected: Decimal | None = None
    cooked: object = None


def out_of(together, version):
    """What should come out of so many grams; None where no loss is said."""
    terms = Terms(version.loss if version else None)
    return should_come_out([Poured(0, together)], terms)


def wanted(item, amount):
    unit = "g" if item.unit == Item.Unit.GRAM else "pieces"
    return f"{item}, {plain(amount)} {unit}"


def row(item, amount, code=""):
    """A proposed row; what the batch sheet needs of it goes along."""
    text = plain(amount) + (" g" if item.unit == Item.Unit.GRAM else "")
    return {
        "lot": code,
        "amount": text,
        "wanted": wanted(item, amount),
        "of": item.pk,
        "item": item,
        "exact": amount,
    }


def proposed(item, amount, on):
    """Rows that take an amount out of lots, or one empty row that says why not."""
    amount = grams(amount)
    if item.unit == Item.Unit.PIECE:
        amount = amount.to_integral_value(rounding="ROUND_UP")
    if item.on_tap:
        return [row(item, amount, item.name)], []
    if item.is_alkali:
        return [row(item, amount) | {"amount": ""}], [
            f"Type the code of the {item} lot you weigh from."
        ]
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

    vessel = Choice(Vessel.objects.all(), label="In which vessel", required=False)
    at = forms.TimeField(
        label="Starts at",
        required=False,
        widget=forms.TimeInput(format="%H:%M", attrs={"type": "time"}),
        help_text="For the batch sheet: its steps get their clock time.",
    )

    def __init__(self, data, *, stage, on):
        self.stage, self.on = stage, on
        super().__init__(data if data and "version" in data else None)
        self.order_fields([n for n in self.fields if n not in ("vessel", "at")])
        if stage in COUNTED:
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
            return self.work_out()
        except Refused as fault:
            self.add_error(None, str(fault))
            return Plan()

    def occasion(self):
        """Clock and vessel, where they are asked for."""
        facts = self.cleaned_data
        return {"start": facts.get("at"), "vessel": facts.get("vessel")}

    def suggestions(self):
        return released_lots()


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
