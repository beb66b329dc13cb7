"""A tub of alkali titrated: what was weighed and diluted, what the burette gave."""

from django import forms

from production.chemistry.domain.titration import assay, part_titrated
from production.pages.forms.deed import DeedForm
from production.pages.forms.fields import CHOOSE, AmountField, NumberField, faulted
from production.pages.forms.work_out import CalculateButton
from production.quantities.domain.numbers import plain
from production.stock.actions.opening_lots import Reading
from production.stock.domain.checks import TITRATION, percent, to_step
from production.stock.forms.fields import ALKALI_CHOICES
from production.stock.models.readings import Measurement

WHAT = Measurement.What
PARTS = ("sample", "made_up", "taken", "normality", "titrant", "second", "alkali")


class AlkaliTitrationForm(DeedForm):
    """Restates the purity of a tub, and its carbonate where both ends were read."""

    sample = AmountField(
        label="Flakes or lye weighed in",
        unit="g",
        help_text="About 5 g from the middle of the tub, to 0.01 g.",
    )
    made_up = NumberField(
        label="Made up with water to, mL",
        required=False,
        help_text="The volume of the flask; left empty where all of it was titrated.",
    )
    taken = NumberField(
        label="Of that titrated, mL",
        required=False,
        help_text="What the pipette took out of the flask.",
    )
    normality = NumberField(
        label="Strength of the acid, mol/L",
        help_text="Its normality, off the bottle: 1 for normal, 0.1 for tenth-normal.",
    )
    titrant = NumberField(
        label="Acid until phenolphthalein is colourless, mL",
        help_text="All hydroxide and half the carbonate.",
    )
    second = NumberField(
        label="Acid until methyl orange turns, mL",
        required=False,
        help_text="Counted from the start. It tells the carbonate; left empty, half of "
        "the carbonate is counted as hydroxide.",
    )
    alkali = forms.ChoiceField(label="It is", choices=[CHOOSE, *ALKALI_CHOICES])
    work_out = CalculateButton()
    note = forms.CharField(required=False, max_length=120)

    def __init__(self, *args, lot, **kwargs):
        super().__init__(*args, **kwargs)
        self.known = lot.item.alkali
        if self.known:
            del self.fields["alkali"]

    def clean(self):
        facts = super().clean()
        if not self.errors:
            with faulted():
                facts["found"] = self._found(facts)
        return facts

    def _found(self, facts):
        return assay(
            facts["sample"].grams_or_pieces,
            facts["titrant"],
            facts["normality"],
            part=part_titrated(facts["made_up"], facts["taken"]),
            alkali=self.kind(facts),
            second_mL=facts["second"],
        )

    def kind(self, facts):
        return self.known or facts["alkali"]

    def arguments(self):
        facts = super().arguments()
        found, note = facts.pop("found"), facts.pop("note", "")
        said = "; ".join(filter(None, [self.how(), note]))
        for name in PARTS:
            facts.pop(name, None)
        readings = [_reading(WHAT.PURITY, found.caustic, said)]
        if found.carbonate is not None:
            readings.append(_reading(WHAT.CARBONATE, found.carbonate, said))
        return {**facts, "readings": readings}

    def how(self):
        """What was weighed and read, for the book."""
        facts = self.cleaned_data
        flask = ""
        if facts["made_up"]:
            flask = f", {plain(facts['taken'])} of {plain(facts['made_up'])} mL"
        second = ""
        if facts["second"] is not None:
            second = f" and {plain(facts['second'])}"
        return (
            f"titrated: {plain(facts['titrant'])}{second} mL of "
            f"{plain(facts['normality'])} mol/L acid on "
            f"{plain(facts['sample'].grams_or_pieces)} g{flask}"
        )

    def worked(self):
        """The answer, before anything is written."""
        found = self.cleaned_data["found"]
        carbonate = found.carbonate
        return {
            "alkali": self.kind(self.cleaned_data),
            "purity": percent(found.caustic),
            "carbonate": "" if carbonate is None else percent(carbonate),
            "how": self.how(),
        }


def _reading(what, value, note):
    return Reading(what, to_step(value), note=note, method=TITRATION)
