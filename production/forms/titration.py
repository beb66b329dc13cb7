"""A titration at the bench: what was weighed, what the burette gave, what it says."""

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from django import forms

from production import actions
from production.domain.balance import net_grams
from production.domain.checks import TITRATION
from production.domain.checks import percent as percent_of
from production.domain.chemistry.constants import ALKALIS
from production.domain.chemistry.titration import as_other, citric_for, free_alkali
from production.domain.numbers import SHARE_STEP, plain
from production.domain.refusal import Refused
from production.domain.units import A_KILO
from production.forms.bench import WorkOut
from production.forms.checks import SampledForm
from production.forms.fields import AmountField, NumberField, faulted
from production.models import Item, Measurement

WHAT = Measurement.What
PARTS = ("sample", "normality", "titrant", "blank", "indicator")
LEAST_STRENGTH = Decimal("0.01")  # common practice, no source
MOST_SAMPLE = Decimal(100)  # what a flask takes; common practice, no source
CITRIC = (
    ("citric acid, anhydrous", "citric"),
    ("citric acid, monohydrate", "citric monohydrate"),
)


@dataclass(frozen=True)
class Titrated:
    """Free alkali as a mass fraction, how it was worked out, and what to do about it.

    ``doses`` are pairs of an acid's name and grams for ``mass`` grams of soap.
    """

    koh: Decimal
    naoh: Decimal
    working: str
    mass: Decimal
    doses: list[tuple[str, Decimal]]
    within: bool

    @property
    def koh_shown(self):
        return percent_of(self.koh)

    @property
    def naoh_shown(self):
        return percent_of(self.naoh)


class TitrationForm(SampledForm):
    sample = AmountField(
        label="Soap weighed in", unit="g", help_text="About 10 g, to 0.01 g."
    )
    normality = NumberField(
        label="Strength of the acid, mol/L",
        help_text="Its normality, off the bottle: 0.1 for tenth-normal.",
    )
    titrant = NumberField(
        label="Acid used, mL", help_text="0 where the sample stayed colourless."
    )
    blank = NumberField(
        label="Acid that the alcohol alone took, mL",
        required=False,
        help_text="The blank; left empty where the alcohol was neutralised before.",
    )
    indicator = forms.CharField(max_length=60, initial="phenolphthalein")
    work_out = WorkOut()
    note = forms.CharField(required=False, max_length=140)

    def __init__(self, *args, limit, **kwargs):
        self.limit = limit
        super().__init__(*args, **kwargs)
        self.order_fields(PARTS)

    def clean(self):
        facts = super().clean()
        if not self.errors:
            with faulted():
                facts["fraction"] = self._counted(facts)
        return facts

    def _counted(self, facts):
        if facts["normality"] < LEAST_STRENGTH:
            raise Refused(
                f"Acid of {plain(facts['normality'])} mol/L shows nothing: read its "
                "strength off the bottle again."
            )
        if facts["titrant"] and facts["blank"] == facts["titrant"]:
            raise Refused(
                "The alcohol alone took as much acid as the sample: neutralise it, and "
                "titrate again."
            )
        if facts["sample"].grams_or_pieces > MOST_SAMPLE:
            raise Refused(
                f"{plain(facts['sample'].grams_or_pieces)} g is no sample: about 10 g "
                "go into the flask. Read the balance again."
            )
        found = free_alkali(
            facts["sample"].grams_or_pieces,
            facts["titrant"],
            facts["normality"],
            blank_mL=facts["blank"] or Decimal(0),
        )
        if found > 1:
            raise Refused("That is more alkali than soap: read weight and acid again.")
        return found

    def within(self):
        """Whether the limit is kept."""
        return _to_step(self.cleaned_data["fraction"]) <= self.limit

    def arguments(self):
        facts = super().arguments()
        found, note = facts.pop("fraction"), facts.pop("note", "")
        for name in PARTS:
            facts.pop(name, None)
        said = "; ".join(part for part in (self.how(), note) if part)
        reading = actions.Reading(
            WHAT.FREE_ALKALI,
            _to_step(found),
            note=said,
            method=TITRATION,
            sampled=facts.pop("sampled", ""),
        )
        return {**facts, "readings": [reading]}

    def how(self):
        """What was weighed and read, for the book."""
        facts = self.cleaned_data
        weighed = plain(facts["sample"].grams_or_pieces)
        blank = f", blank {plain(facts['blank'])} mL" if facts["blank"] else ""
        return (
            f"as KOH; {plain(facts['titrant'])} mL of {plain(facts['normality'])} "
            f"mol/L acid on {weighed} g{blank}, {facts['indicator']}"
        )

    def worked(self, mass):
        """The answer for so many grams of soap; for a kilo where that is unknown."""
        fraction = self.cleaned_data["fraction"]
        mass = mass or A_KILO
        free = fraction * mass
        return Titrated(
            koh=fraction,
            naoh=as_other(fraction, "KOH", "NaOH"),
            working=self._working(fraction),
            mass=mass,
            doses=_doses(free),
            within=self.within(),
        )

    def _working(self, fraction):
        facts = self.cleaned_data
        used = plain(facts["titrant"])
        if facts["blank"]:
            used = f"({used} \N{MINUS SIGN} {plain(facts['blank'])})"
        return (
            f"{used} mL \N{MULTIPLICATION SIGN} {plain(facts['normality'])} mol/L "
            f"\N{DIVISION SIGN} 1,000 \N{MULTIPLICATION SIGN} {ALKALIS['KOH']} g/mol "
            f"\N{DIVISION SIGN} {plain(facts['sample'].grams_or_pieces)} g "
            f"= {percent_of(fraction)}"
        )


def _doses(free):
    """What takes up so many grams of free KOH; nothing where there is none."""
    if not free:
        return []
    return [(name, citric_for(free, kind)) for name, kind in CITRIC]


def _to_step(fraction):
    return fraction.quantize(SHARE_STEP, ROUND_HALF_UP)


def grams_on_hand(lot):
    """What stands of a lot, in grams; None where a piece has no net mass."""
    if lot is None or lot.on_hand <= 0:
        return None
    if lot.item.unit == Item.Unit.GRAM:
        return lot.on_hand
    return net_grams(lot.on_hand, lot.net_mass)
