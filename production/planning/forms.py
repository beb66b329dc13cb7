"""How much of everything: from what is wanted, or from what is there."""

from django import forms

from production.pages.forms.fields import (
    TUBS,
    AmountField,
    Choice,
    DayField,
    PercentField,
    parse_amount,
)
from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused
from production.recipes.domain.scaling.chain import Target
from production.recipes.domain.scaling.limits import Limits
from production.recipes.domain.scaling.settle import settle, unknown_losses
from production.recipes.domain.scaling.work_out import work_out
from production.recipes.models.formulas import Version
from production.recipes.reads.chain import chain_as_made
from production.recipes.reads.planning import alkalis_of, facts_of, kettle_of, with_tubs
from production.recipes.reads.tubs import tubs_to_weigh
from production.stock.forms.fields import LotField
from production.workshop.models.places import Vessel
from production.yields.domain.losses import Loss

SIZES = 3


class ProductionPlanForm(forms.Form):
    """Sent by GET, so that a plan can be kept as a bookmark; nothing is written."""

    def __init__(self, data, *, on):
        self.on = on
        super().__init__(data.copy() if data and "version1" in data else None)
        versions = list(
            Version.objects.select_related("formula__makes")
            .exclude(formula__stage="rework")
            .order_by("formula__name", "-number")
        )
        for place in range(1, SIZES + 1):
            self._size(place, versions)
        self._limits()
        self.loss_names = []

    def _size(self, place, versions):
        choice = Choice(
            Version.objects.select_related("formula__makes"),
            label="What" if place == 1 else "And",
            required=place == 1,
            empty_label="choose a recipe" if place == 1 else "nothing else",
        )
        choice.choices = [("", choice.empty_label)] + [
            (version.pk, f"{version.formula.makes}: {version}") for version in versions
        ]
        self.fields[f"version{place}"] = choice
        self.fields[f"amount{place}"] = AmountField(
            label="How many, or how much", required=False
        )

    def _limits(self):
        self.fields |= {
            "on": DayField(label="First day of the work", required=False),
            "at": forms.TimeField(
                label="The cook starts at",
                required=False,
                widget=forms.TimeInput(format="%H:%M", attrs={"type": "time"}),
            ),
            "alkali_lot": LotField(label="Potassium hydroxide, lot", required=False),
            "soda_lot": LotField(label="Sodium hydroxide, lot", required=False),
            "paste": LotField(
                label="Paste that stands ready, lot",
                required=False,
                help_text="Its soap content decides how much of it is taken.",
            ),
            "ready": forms.BooleanField(
                label="Use what stands ready of pastes and soaps first", required=False
            ),
            "vessel": Choice(
                Vessel.objects.all(),
                label="Kettle",
                required=False,
                empty_label="not said",
            ),
            "first_cook": forms.BooleanField(
                label="The first cook of this recipe", required=False
            ),
            "tub": forms.BooleanField(
                label="As much as the alkali left in the tub gives", required=False
            ),
            "oils": AmountField(
                label="As much as so much oil gives", unit="g", required=False
            ),
            "paste_left": AmountField(
                label="As much as so much paste gives", unit="g", required=False
            ),
        }

    def wanted_fields(self):
        return [
            (self[f"version{place}"], self[f"amount{place}"])
            for place in range(1, SIZES + 1)
        ]

    def with_fields(self):
        names = ("on", "at", "alkali_lot", "soda_lot", "vessel", "first_cook")
        return [self[name] for name in names]

    def instead_fields(self):
        return [self[name] for name in ("tub", "oils", "paste_left", "paste", "ready")]

    def loss_fields(self):
        return [self[name] for name in self.loss_names]

    def clean(self):
        facts = super().clean()
        for place in range(1, SIZES + 1):
            if version := facts.get(f"version{place}"):
                parse_amount(self, f"amount{place}", version.formula.makes)
        return facts

    def plan(self):
        """The plan of all its stages, or None with the faults on the form."""
        if not self.is_bound or not self.is_valid():
            return None
        try:
            return self._planned()
        except Refused as fault:
            self.add_error(None, str(fault))
            return None

    def _planned(self):
        facts = self.cleaned_data
        asked = {}
        for place in range(1, SIZES + 1):
            if version := facts.get(f"version{place}"):
                amount = facts.get(f"amount{place}")
                asked[version.pk] = Target(amount.grams_or_pieces) if amount else None
        self.asked = set(asked)
        chain = chain_as_made(*self._versions())
        self._ask_losses(chain)
        losses = self._losses(chain)
        typed = {alkali: facts.get(tub) for alkali, tub in TUBS.items()}
        tubs = tubs_to_weigh(alkalis_of(chain), typed, by_itself=True)
        self.tubs = [tub.lot for tub in tubs.values()]
        on = facts.get("on") or self.on
        chain = settle(with_tubs(chain, tubs.values()), losses=losses)
        self._ask_what_is_unknown(chain)
        known = facts_of(chain, on, ready=facts["ready"], paste=facts.get("paste"))
        return work_out(chain, asked, known, self._limits_of(chain))

    def _versions(self):
        facts = (self.cleaned_data.get(f"version{n}") for n in range(1, SIZES + 1))
        return [version for version in facts if version]

    def _limits_of(self, chain):
        facts = self.cleaned_data
        oils, paste, vessel = facts["oils"], facts["paste_left"], facts["vessel"]
        return Limits(
            tub=facts["tub"],
            oils=oils.grams_or_pieces if oils else None,
            paste=paste.grams_or_pieces if paste else None,
            kettle=kettle_of(chain, vessel, facts["first_cook"]) if vessel else None,
        )

    def _ask_losses(self, chain):
        """A field for each stage's loss, filled with what its batches lost."""
        for stage in chain.stages:
            name = f"loss{stage.key}"
            known = stage.loss
            self.loss_names.append(name)
            self.fields[name] = PercentField(
                label=f"{stage.name}: loss, %",
                required=False,
                help_text=known.source.capitalize() + "."
                if known
                else "No batch of it is in the book yet: say what to expect.",
            )
            if known and not self.data.get(name):
                self.data[name] = f"{plain(known.share * 100)} %"

    def _ask_what_is_unknown(self, chain):
        """Every loss that nobody knows, asked for at once."""
        unknown = unknown_losses(chain)
        for stage in unknown:
            self.add_error(f"loss{stage.key}", "Say what to expect, such as 1 %.")
        if unknown:
            names = ", ".join(stage.name for stage in unknown)
            raise Refused(
                f"Write the loss to expect of {names}: no batch is in the book, and "
                "the recipe names none."
            )

    def _losses(self, chain):
        found = {}
        for name in self.loss_names:
            text = self.data.get(name, "")
            if not text:
                continue
            try:
                share = self.fields[name].clean(text)
            except forms.ValidationError as fault:
                self.add_error(name, fault)
                continue
            stage = chain.stage(int(name.removeprefix("loss")))
            if stage.loss is None or stage.loss.share != share:
                if share == 1:
                    self.add_error(name, "Write a loss below 100 %: something is made.")
                    continue
                found[stage.key] = Loss(share, "as typed")
        if self.errors:
            raise Refused("A loss below is not understood: write it again.")
        return found
