"""A titration at the bench: what was weighed, what the burette gave, what it says."""

from dataclasses import dataclass
from decimal import Decimal

from django import forms

from production.chemistry.domain.constants import ALKALIS
from production.chemistry.domain.titration import (
    as_other,
    citric_for,
    free_alkali,
    misread,
)
from production.pages.forms.fields import AmountField, NumberField
from production.pages.forms.work_out import CalculateButton
from production.quantities.domain.numbers import plain
from production.quantities.domain.units import A_KILO
from production.release.forms.checks import SampledForm
from production.stock.actions.opening_lots import Reading
from production.stock.domain.checks import TITRATION, to_step
from production.stock.domain.checks import percent as percent_of
from production.stock.models.readings import Measurement

WHAT = Measurement.What
PARTS = ("sample", "normality", "titrant", "blank", "indicator")
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


class Burette(forms.Form):
    """A sample of soap and the acid that it took; cleans to a ``fraction``, too."""

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

    def clean(self):
        facts = super().clean()
        if not self.errors:
            read = (
                facts["sample"].grams_or_pieces,
                facts["titrant"],
                facts["normality"],
                facts["blank"] or Decimal(0),
            )
            name, says = misread(*read)
            if name:
                self.add_error(name, says)
            else:
                facts["fraction"] = free_alkali(*read[:3], blank_mL=read[3])
        return facts

    def working(self):
        """The sum in a line."""
        facts = self.cleaned_data
        used = plain(facts["titrant"])
        if facts["blank"]:
            used = f"({used} \N{MINUS SIGN} {plain(facts['blank'])})"
        return (
            f"{used} mL \N{MULTIPLICATION SIGN} {plain(facts['normality'])} mol/L "
            f"\N{DIVISION SIGN} 1,000 \N{MULTIPLICATION SIGN} {ALKALIS['KOH']} g/mol "
            f"\N{DIVISION SIGN} {plain(facts['sample'].grams_or_pieces)} g "
            f"= {percent_of(facts['fraction'])}"
        )


class TitrationForm(Burette, SampledForm):
    indicator = forms.CharField(max_length=60, initial="phenolphthalein")
    work_out = CalculateButton()
    note = forms.CharField(required=False, max_length=140)

    def __init__(self, *args, limit, **kwargs):
        self.limit = limit
        super().__init__(*args, **kwargs)
        self.order_fields(PARTS)

    def within(self):
        """Whether the limit is kept."""
        return to_step(self.cleaned_data["fraction"]) <= self.limit

    def arguments(self):
        facts = super().arguments()
        found, note = facts.pop("fraction"), facts.pop("note", "")
        for name in PARTS:
            facts.pop(name, None)
        said = "; ".join(part for part in (self.how(), note) if part)
        reading = Reading(
            WHAT.FREE_ALKALI,
            to_step(found),
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
            working=self.working(),
            mass=mass,
            doses=_doses(free),
            within=self.within(),
        )


def _doses(free):
    """What takes up so many grams of free KOH; nothing where there is none."""
    if not free:
        return []
    return [(name, citric_for(free, kind)) for name, kind in CITRIC]
