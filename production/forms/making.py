"""How much of everything: from what is wanted, or from what is there."""

from decimal import Decimal

from django import forms

from production.domain.chemistry.recipe import alkalis_used
from production.domain.numbers import plain
from production.domain.refusal import Refused
from production.domain.scaling import (
    CookPlan,
    Loss,
    Lye,
    plan_back,
    reach,
    settle,
    unknown_losses,
)
from production.forms.fields import (
    TUBS,
    AmountField,
    Choice,
    DayField,
    LotField,
    PercentField,
    understand,
)
from production.models import Item, Version, Vessel
from production.reads.certificates import with_certificates
from production.reads.chain import chain_as_made, material
from production.reads.cooking import purities_of
from production.reads.kettle import kettle_for
from production.reads.making import planned, stock_of
from production.reads.stored import soap_content
from production.reads.tubs import tubs_to_weigh

SIZES = 3
CLOSER = 3


class MakingForm(forms.Form):
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
                understand(self, f"amount{place}", version.formula.makes)
        return facts

    def plan(self):
        """A Making, or None with the faults on the form."""
        if not self.is_bound or not self.is_valid():
            return None
        try:
            return self._work_out()
        except Refused as fault:
            self.add_error(None, str(fault))
            return None

    def _work_out(self):
        facts = self.cleaned_data
        asked = {}
        for place in range(1, SIZES + 1):
            if version := facts.get(f"version{place}"):
                amount = facts.get(f"amount{place}")
                asked[version] = amount.grams_or_pieces if amount else None
        self.asked = {version.pk for version in asked}
        chain = chain_as_made(*asked)
        self._ask_losses(chain)
        tubs = self._tubs(chain)
        chain = settle(
            chain,
            losses=self._losses(chain),
            lyes=[
                Lye(material(tub.lot.item), tub.lye.purity, tub.lye.carbonate)
                for tub in tubs.values()
            ],
            contents=self._contents(),
            purities=purities_of_acids(chain),
        )
        self._ask_what_is_unknown(chain)
        self.tubs = {tub.lot.item_id: tub.lot for tub in tubs.values()}
        on = facts.get("on") or self.on
        shelf = stock_of(chain, on)
        vessel = facts.get("vessel")
        kettle = vessel and kettle_for(chain, vessel, facts["first_cook"])
        wanted = self._wanted(chain, asked, shelf, kettle)
        ready = self._ready(chain, shelf) if facts["ready"] else {}
        making, certified = self._drawn(chain, wanted, ready, shelf), chain
        # The lots decide the alkali, and that a little how much of each lot is taken:
        # the second time round settles it to the milligram.
        for _ in range(CLOSER):
            certified = with_certificates(chain, making)
            if certified is chain:
                break
            making = self._drawn(certified, wanted, ready, shelf)
        self.remarks = kettle.remarks(self.chain_plan) if kettle else []
        return making

    def _drawn(self, chain, wanted, ready, shelf):
        """The plan with the lots it would draw from."""
        self.chain_plan = plan_back(chain, wanted, ready)
        return planned(
            chain,
            self.chain_plan,
            shelf.untouched(),
            self.cleaned_data.get("on") or self.on,
            ready=bool(self.cleaned_data["ready"]),
            alkali_lots={item: lot.code for item, lot in self.tubs.items()},
        )

    def _wanted(self, chain, asked, shelf, kettle):
        keys = {version.pk: amount for version, amount in asked.items()}
        if None not in keys.values():
            return keys
        limits = self._limits_of(chain, shelf, kettle)
        if not limits:
            raise Refused(
                "Write how much is wanted, or tell below what there is to make it from."
            )
        one = {pk: amount or Decimal(1) for pk, amount in keys.items()}
        self.bound = reach(chain, one, limits)
        return self.bound.wanted

    def _limits_of(self, chain, shelf, kettle):
        """What there is, by the key of the material."""
        facts, limits = self.cleaned_data, {}
        cooks = [s for s in chain.stages if isinstance(s.plan, CookPlan)]
        if facts["tub"]:
            held = shelf.on_hand()
            limits |= {item: held.get(item, Decimal(0)) for item in self.tubs}
        for stage in cooks:
            if facts.get("oils"):
                limits |= stage.plan.each_oil(facts["oils"].grams_or_pieces)
            elif kettle:
                limits |= stage.plan.each_oil(kettle.load(stage).oils)
        if facts.get("paste_left"):
            pastes = [stage.makes.key for stage in cooks]
            limits |= dict.fromkeys(pastes, facts["paste_left"].grams_or_pieces)
        return limits

    def _ready(self, chain, shelf):
        made = {stage.makes.key for stage in chain.stages}
        return {k: v for k, v in shelf.on_hand().items() if k in made}

    def _contents(self):
        paste = self.cleaned_data.get("paste")
        if paste is None:
            return {}
        known = soap_content(paste, self.on)
        if known is None:
            raise Refused(f"The soap content of {paste} is not in the book: note it.")
        return {paste.item_id: known.share}

    def _tubs(self, chain):
        """The alkali lots that the cooks of the chain are worked out with."""
        used = {
            alkali
            for stage in chain.stages
            if isinstance(stage.plan, CookPlan)
            for alkali in alkalis_used(stage.plan.koh_share)
        }
        typed = {alkali: self.cleaned_data.get(tub) for alkali, tub in TUBS.items()}
        return tubs_to_weigh(used, typed, by_itself=True)

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


def purities_of_acids(chain):
    """The purity of every acid that goes into a lye, from its latest lot."""
    acids = {
        line.item.key
        for stage in chain.stages
        if isinstance(stage.plan, CookPlan)
        for line in stage.plan.others
        if line.item.acid
    }
    return purities_of(Item.objects.filter(pk__in=acids)) if acids else {}
