"""Lots used, one lot made: piece by piece over days, or in one page."""

from typing import Any

from django import forms

from production.batches.actions.new_batch import Output, Use
from production.batches.forms.losses import AsksWhere, LossRow, RestField, losses_of
from production.batches.forms.working import AsksWork, WorkRow
from production.fitness.forms import released_lots
from production.pages.forms.deed import DeedForm, RowForm, read_again
from production.pages.forms.fields import (
    AmountField,
    Choice,
    CodeField,
    DayField,
    NumberField,
    echoed,
    parse_amount,
    typed_in,
)
from production.recipes.forms.bench import (
    ReadField,
    StepsField,
    as_on_the_tub,
    lots_among,
)
from production.recipes.models.formulas import Version
from production.recipes.reads.experience import learnt_by
from production.recipes.reads.tubs import instead_of
from production.stock.forms.choices import taps
from production.stock.forms.fields import SourceField
from production.stock.forms.places import places_to_put
from production.stock.models.batches import COUNTED, Stage
from production.stock.models.lots import Lot
from production.stock.reads.places_of_lots import standing_places
from production.workshop.models.items import Item


class UseRow(RowForm):
    """One thing that goes in. A proposed row knows which item it was meant for.

    An alkali's name and purity are read back, and ticked before it is posted.
    """

    tells: tuple[str, ...] = ("lot", "amount")
    folded: tuple[str, ...] = ("surplus",)
    folded_words = "There was more than the book says"
    lot = SourceField(
        label="Lot",
        widget=echoed("echo-lot", list="lots"),
    )
    amount = AmountField(label="How much")
    surplus: Any = AmountField(
        label="Found above the book",
        required=False,
        help_text="Counted in with the same entry.",
    )
    wanted = forms.CharField(required=False, widget=forms.HiddenInput)
    of = forms.IntegerField(required=False, widget=forms.HiddenInput)
    planned = forms.CharField(required=False, widget=forms.HiddenInput)
    planned_amount = NumberField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        source = typed_in(self, "lot")
        self.typed = source if isinstance(source, Lot) else None
        says = as_on_the_tub(self.typed) if self.typed else ""
        self.tub = self.typed if says else None
        if says:
            self.fields["read"] = ReadField(says)

    @property
    def swapped(self):
        """What the plan was for, where this tub differs from it in strength."""
        planned = self["planned"].value()
        if self.tub is None or not planned or planned == self.tub.code:
            return ""
        return instead_of(planned, typed_in(self, "planned_amount"), self.tub)

    @property
    def is_lye(self):
        return "read" in self.fields

    @property
    def note(self):
        return self["wanted"].value() or ""

    def clean(self):
        facts = super().clean()
        source = facts.get("lot")
        if source is None:
            return facts
        item = source.item if isinstance(source, Lot) else source
        if facts.get("of") and facts["of"] != item.pk:
            self.add_error(
                "lot",
                f"{source} is {item}; this row is for {self.note}. "
                "Put it into a spare row if it is meant.",
            )
        parse_amount(self, "amount", item)
        parse_amount(self, "surplus", item)
        return facts

    def use(self, places):
        """``places`` is where each lot stands, by its key."""
        facts = self.cleaned_data
        source, amount = facts["lot"], facts["amount"]
        if isinstance(source, Item):
            return Use(item=source, amount=amount.grams_or_pieces, typed=amount.typed)
        surplus = facts["surplus"]
        more = {"surplus": surplus.grams_or_pieces} if surplus else {}
        return Use(
            lot=source,
            amount=amount.grams_or_pieces,
            typed=amount.typed,
            place=places[source.pk],
            **more,
        )


def weighs_lye(form):
    """Whether an alkali stands in one of its rows."""
    return any(row.is_lye for row in form.rows["uses"])


def uses_of(form):
    rows = form.rows["uses"].written()
    places = standing_places(lots_among(row.cleaned_data["lot"] for row in rows))
    return [row.use(places) for row in rows]


class StartForm(DeedForm):
    stage = forms.ChoiceField(choices=Stage)
    version = Choice(
        Version.objects.select_related("formula"),
        label="Recipe",
        required=False,
        empty_label="without a recipe",
    )
    code = CodeField(
        label="Own batch mark",
        help_text="Left empty, the book gives one.",
    )
    expected = AmountField(
        label="Expected to come out",
        required=False,
        help_text="In grams, or in pieces when bottles are filled. Left empty, it "
        "follows what goes in, by what the last batches of the recipe lost, or else "
        "by its own loss. What they lose later changes nothing here.",
    )
    trial = forms.BooleanField(
        label="This is a trial",
        required=False,
        help_text="Its lot is not sold until an owner accepts it.",
    )
    folded = ("code", "expected", "trial")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["on"].label = "Started on"

    def clean(self):
        facts = super().clean()
        version, stage = facts.get("version"), facts.get("stage")
        if version is not None:
            parse_amount(self, "expected", version.formula.makes)
        elif stage in COUNTED:
            parse_amount(self, "expected", Item(unit="piece"))
        else:
            parse_amount(self, "expected", Item(unit="g"))
        return facts

    def arguments(self):
        given = super().arguments()
        if expected := given.pop("expected", None):
            given["expected"] = expected.grams_or_pieces
        elif (version := given.get("version")) is not None:
            learnt = learnt_by(version.formula.name)
            given["loss"] = learnt.share if learnt else None
        return given


class UsesForm(DeedForm):
    row_sets = {"uses": (UseRow, "What goes in")}
    override = forms.BooleanField(
        label="Use a lot that has expired",
        required=False,
        help_text="Only an owner may, and only with a reason.",
    )
    folded = ("override",)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.suggestions = {"lots": taps() + released_lots()}

    def arguments(self):
        return {**super().arguments(), "uses": uses_of(self)}


class StepForm(DeedForm):
    text = forms.CharField(label="What was done or seen", max_length=300)


class Outcome(forms.Form):
    """What came out of a batch."""

    item = Choice(
        Item.objects.filter(kind=Item.Kind.MADE),
        label="What came out",
        required=False,
        empty_label="what the recipe makes",
    )
    amount = AmountField(label="How much came out")
    net_mass = AmountField(
        label="Net mass of one piece",
        required=False,
        unit="g",
        help_text="The contents only, as weighed.",
    )
    lot_code = CodeField(
        label="Own code of the lot",
        help_text="Left empty, the book gives one.",
    )
    expires = DayField(required=False, help_text="Left empty, the recipe says it.")
    confirmed = read_again()
    place = Choice(places_to_put(), required=False)

    def outcome_of(self, version):
        """Read the amount once it is clear what came out."""
        facts = self.cleaned_data
        item = facts.get("item") or (version.formula.makes if version else None)
        if item is None and "item" not in self.errors:
            self.add_error("item", "Say what came out; without a recipe nobody knows.")
        parse_amount(self, "amount", item)
        if item is not None and item.unit == Item.Unit.GRAM and facts.get("net_mass"):
            self.add_error("net_mass", f"{item} is weighed, it has no pieces.")

    def output(self):
        facts = self.cleaned_data
        mass = facts["net_mass"]
        return Output(
            amount=facts["amount"].grams_or_pieces,
            typed=facts["amount"].typed,
            item=facts["item"],
            code=facts["lot_code"],
            net_mass=mass.grams_or_pieces if mass else None,
            expires=facts["expires"],
            place=facts["place"],
            sure=facts["confirmed"],
        )


OUTCOME = (
    *("item", "amount", "net_mass", "lot_code", "expires", "place", "confirmed"),
)


class MakeForm(AsksWork, AsksWhere, Outcome, DeedForm):
    row_sets = {
        "losses": (LossRow, "Losses with a name"),
        "work": (WorkRow, "Hours"),
    }
    folded_rows = ("losses", "work")
    spare_rows = 2
    after_rows = ("lost_as", "reason")
    folded = ("lot_code", "expires", "place")
    lost_as = RestField()

    def __init__(self, *args, batch, **kwargs):
        self.batch = batch
        super().__init__(*args, **kwargs)

    def clean(self):
        facts = super().clean()
        self.outcome_of(self.batch.version)
        return facts

    def arguments(self):
        given = super().arguments()
        return {n: v for n, v in given.items() if n not in OUTCOME} | {
            "output": self.output(),
            "losses": losses_of(self),
        }


class BatchForm(AsksWork, AsksWhere, Outcome, DeedForm):
    """A whole batch in one page. The recipe is chosen above, in the plan."""

    row_sets = {
        "uses": (UseRow, "What went in"),
        "losses": (LossRow, "Losses with a name"),
        "work": (WorkRow, "Hours"),
    }
    folded_rows = ("losses", "work")
    after_rows = ("steps", "item", "amount", "net_mass", "lost_as", "reason")
    folded = ("lot_code", "expires", "place", "code", "expected", "trial", "override")
    code = CodeField(label="Own batch mark")
    steps = StepsField()
    expected = AmountField(
        label="Expected to come out",
        required=False,
        help_text="Left empty, it follows what goes in, by the loss planned above.",
    )
    lost_as = RestField()
    trial = forms.BooleanField(
        label="This is a trial",
        required=False,
        help_text="Its lot is not sold until an owner accepts it.",
    )
    override = forms.BooleanField(
        label="Use a lot that has expired",
        required=False,
        help_text="Only an owner may, and only with a reason.",
    )

    def __init__(self, *args, version=None, lots=(), loss=None, **kwargs):
        self.version, self.loss = version, loss
        super().__init__(*args, **kwargs)
        self.suggestions = {**self.suggestions, "lots": [*taps(), *lots]}
        if version is None:
            self.fields["item"].required = True
            self.fields["item"].empty_label = "choose"

    def clean(self):
        facts = super().clean()
        self.outcome_of(self.version)
        item = facts.get("item") or (self.version and self.version.formula.makes)
        parse_amount(self, "expected", item)
        return facts

    def arguments(self):
        given = super().arguments()
        expected = given.pop("expected", None)
        return {n: v for n, v in given.items() if n not in OUTCOME} | {
            "version": self.version,
            "loss": self.loss,
            "expected": expected.grams_or_pieces if expected else None,
            "uses": uses_of(self),
            "output": self.output(),
            "losses": losses_of(self),
        }
