"""How a check was made: by which method, at which spots, before or after what."""

from django import forms

from production.pages.forms.deed import DeedForm, PaperField
from production.pages.forms.fields import CHOOSE, DayField, NumberField, PercentField
from production.quantities.domain.floors import without_floor
from production.quantities.domain.numbers import plain
from production.release.reads.checks import days_of_use, kind_of
from production.stock.actions.opening_lots import Reading
from production.stock.domain.checks import (
    BEFORE,
    DROP_TEST,
    FEWEST_SPOTS,
    FIGURED,
    FREE_ALKALI,
    NEUTRALITY,
    OF_ALKALI,
    ON_PAPER,
    PH,
    SPOTS,
    SUPPLIER,
    TITRATION,
    VERDICTS,
    as_koh,
    ask_about_ph,
    fewest,
    spots_of,
)
from production.stock.forms.fields import ALKALI_CHOICES, reading_field
from production.stock.models.readings import Measurement

WHAT = Measurement.What
METHODS = [
    (value, label) for value, label in Measurement.Method.choices if value != BEFORE
]
UNKNOWN_CHECK, PASSED, FAILED = "", "passed", "failed"
COUNTED_AS = [CHOOSE, *ALKALI_CHOICES]
NO_METHOD = (
    "Say how it was tested: a drop test in alcohol, a titration, a paper. A verdict "
    "without its method proves nothing."
)
NO_VERDICT = "Say whether the check was passed."
NO_SPOTS = (
    f"Name the spots that were tested, {FEWEST_SPOTS} at least: lye hides in pockets."
)

NO_SPOT = "Name the spot where it stayed pink: one is enough to stop the pot."


class SpotsField(forms.MultipleChoiceField):
    """Spots of the pot, as many as were tested; none is ticked beforehand."""

    widget = forms.CheckboxSelectMultiple

    def __init__(self, **kwargs):
        kwargs.setdefault("label", "Spots tested, for a drop test")
        choices = [(spot, spot) for spot in SPOTS]
        super().__init__(required=False, choices=choices, **kwargs)


class SampledForm(DeedForm):
    """Asks which came first where a check and its batch share the day."""

    sampled = forms.ChoiceField(
        label="When was the sample taken?",
        choices=Measurement.Sampled,
        widget=forms.RadioSelect,
        help_text="Something went into the batch on this day, too.",
        error_messages={
            "required": "Say whether the sample was taken after all of that day had "
            "gone in, or before: a check speaks for what was there."
        },
    )

    def __init__(self, *args, lot=None, batch=None, **kwargs):
        self.lot, self.batch = lot, batch
        super().__init__(*args, **kwargs)
        made_by = batch or (lot.batch if lot is not None else None)
        if self.is_check() and self._day() in days_of_use(made_by):
            return
        del self.fields["sampled"]

    def is_check(self):
        """Whether what is noted speaks of alkali."""
        return True

    def _day(self):
        """The day of the check as it stands on the form; None where it is no day."""
        if not self.is_bound:
            return self.get_initial_for_field(self.fields["on"], "on")
        try:
            return DayField().clean(self.data.get("on"))
        except forms.ValidationError:
            return None


class MeasurementForm(SampledForm):
    """One reading: a check with its method and spots, or any other value."""

    folded = ("basis",)
    what = forms.ChoiceField(choices=WHAT, initial=WHAT.NEUTRALITY)
    passed = forms.TypedChoiceField(
        label="Verdict",
        required=False,
        choices=[("", "none"), ("yes", "passed"), ("no", "not passed")],
        coerce=lambda text: text == "yes",
        empty_value=None,
        help_text="Of a titration and of a pH it follows from the figure.",
    )
    method = forms.ChoiceField(
        label="How it was tested", required=False, choices=[CHOOSE, *METHODS]
    )
    spots = SpotsField()
    where = forms.CharField(
        label="Another spot, or the paper",
        required=False,
        max_length=90,
        help_text="Of a laboratory or a supplier: the number and the day of the paper.",
    )
    value = forms.CharField(
        label="Figure",
        required=False,
        max_length=30,
        help_text="Free alkali, purity, soap content and the like in percent.",
    )
    counted_as = forms.ChoiceField(
        label="Free alkali counted as",
        required=False,
        choices=COUNTED_AS,
        help_text="Free caustic alkali: what is left as hydroxide. Never the total "
        "alkali of a paper, which counts what is bound in the soap.",
    )
    low_ph = forms.BooleanField(label="It was read again, and stays", required=False)
    basis = forms.ChoiceField(
        choices=Measurement.Basis, initial=Measurement.Basis.MEASURED
    )
    note = forms.CharField(required=False, max_length=270)
    confirmed = PaperField()

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self._ask_what_a_check_needs()
        self.order_fields(["what", "passed", "method", "spots", "where", "sampled"])
        self.asks = self._about_ph()
        if not self.asks:
            del self.fields["low_ph"]
        if self.lot is None or self.lot.batch_id:
            self.fields["method"].choices = [
                CHOOSE,
                *((value, words) for value, words in METHODS if value != SUPPLIER),
            ]

    def _chosen(self):
        """What is noted, as the form stands."""
        what = self.data.get("what") if self.is_bound else self.initial.get("what")
        return what or WHAT.NEUTRALITY

    def is_check(self):
        return self._chosen() in OF_ALKALI

    def _ask_what_a_check_needs(self):
        """A verdict needs its method; a figure brings its own verdict."""
        what, figured = self._chosen(), self.data.get("method") in FIGURED
        needs = {
            "passed": (what == NEUTRALITY and not figured, NO_VERDICT),
            "method": (what in VERDICTS, NO_METHOD),
        }
        for name, (asked, says) in needs.items():
            self.fields[name].required = asked
            self.fields[name].error_messages["required"] = says

    def _about_ph(self):
        if self.data.get("what") != PH:
            return ""
        try:
            value = NumberField(signed=True, required=False).clean(
                self.data.get("value")
            )
        except forms.ValidationError:
            return ""
        return ask_about_ph(value, kind_of(self.lot, self.batch))

    def clean(self):
        facts = super().clean()
        what = facts.get("what")
        if what == NEUTRALITY and facts.get("method") in FIGURED:
            # A figure speaks for itself.
            what = facts["what"] = FREE_ALKALI
        self._read_value(facts, what)
        if what == NEUTRALITY:
            self._clean_drop_test(facts)
        if what == FREE_ALKALI:
            self._clean_figure(facts)
        if self.asks and not facts.get("low_ph"):
            self.add_error("low_ph", self.asks)
        said = [facts.get("passed"), facts.get("value"), facts.get("note") or None]
        if not self.errors and said == [None, None, None]:
            self.add_error("value", "Write what was read, or a note.")
        return facts

    def _read_value(self, facts, what):
        # Below zero and beyond the whole the deed answers, with the figure.
        signed = {"signed": True} if what in Measurement.SHARES else {}
        field = reading_field(what, required=False, **signed)
        text = facts.get("value") or ""
        if what == WHAT.PURITY:
            # "min. 85 %" says by itself that it is a floor.
            text, floor = without_floor(text)
            facts["basis"] = Measurement.Basis.MINIMUM if floor else facts.get("basis")
        try:
            facts["value"] = field.clean(text)
        except forms.ValidationError as fault:
            self.add_error("value", fault)

    def _clean_drop_test(self, facts):
        spots = len(spots_of(self._where(facts)))
        if facts.get("method") and spots < fewest(facts.get("passed")):
            self.add_error("spots", NO_SPOTS if facts.get("passed") else NO_SPOT)
        if facts.get("value") is not None:
            self.add_error(
                "value",
                "A drop test has no figure. Was it titrated? Then choose that method.",
            )

    def _clean_figure(self, facts):
        method, value = facts.get("method"), facts.get("value")
        if method == DROP_TEST:
            self.add_error(
                "method", "Say where the figure is from: titration or paper."
            )
        if value is None and "value" not in self.errors:
            self.add_error(
                "value", "Write the free alkali that was found, in percent; 0 for none."
            )
        if value and not facts.get("counted_as"):
            self.add_error(
                "counted_as",
                "Say whether the figure is counted as KOH or NaOH: 0.1 % as NaOH is "
                "0.14 % as KOH.",
            )
        if method in ON_PAPER and not facts.get("where"):
            self.add_error("where", "Name the paper: its number and its day.")

    def _where(self, facts):
        return ", ".join(filter(None, [*facts.get("spots", []), facts.get("where")]))

    def arguments(self):
        facts = super().arguments()
        spots, counted = self._where(facts), facts.pop("counted_as", "")
        for name in ("spots", "low_ph", "where"):
            facts.pop(name, None)
        names = (
            "what",
            "value",
            "passed",
            "basis",
            "method",
            "sampled",
            "confirmed",
        )
        parts = {name: facts.pop(name) for name in names if name in facts}
        note = facts.pop("note", "")
        if parts["what"] == FREE_ALKALI and parts["value"] > 0:
            if counted == "NaOH":
                typed = f"{plain(parts['value'] * 100)} % as NaOH"
                note = "; ".join(filter(None, [typed, note]))
            parts["value"] = as_koh(parts["value"], counted)
        if parts.get("method") == SUPPLIER:
            parts["basis"] = Measurement.Basis.STATED
        reading = Reading(**parts, where=spots, note=note)
        return {**facts, "readings": [reading]}


class DayCheckForm(DeedForm):
    """The check of a craft day's finished soap; its sample is of what was made."""

    check = forms.ChoiceField(
        label="Neutrality check",
        required=False,
        choices=[
            (UNKNOWN_CHECK, "not made"),
            (PASSED, "passed"),
            (FAILED, "not passed"),
        ],
    )
    check_method = forms.ChoiceField(
        label="How it was tested",
        required=False,
        choices=[
            CHOOSE,
            *(choice for choice in METHODS if choice[0] in (DROP_TEST, TITRATION)),
        ],
    )
    check_spots = SpotsField()
    check_found = PercentField(
        label="Free alkali as KOH, for a titration",
        required=False,
        help_text="In percent, with its sign; 0 where the acid found none.",
    )

    def clean(self):
        facts = super().clean()
        self._clean_check(facts)
        return facts

    def _clean_check(self, facts):
        method, found = facts.get("check_method"), facts.get("check_found")
        if facts.get("check") in (PASSED, FAILED) and not method:
            self.add_error("check_method", NO_METHOD)
        if method == DROP_TEST and not facts.get("check"):
            self.add_error("check", NO_VERDICT)
        passed = facts.get("check") == PASSED
        if method == DROP_TEST and len(facts.get("check_spots", [])) < fewest(passed):
            self.add_error("check_spots", NO_SPOTS if passed else NO_SPOT)
        if method == TITRATION and found is None and "check_found" not in self.errors:
            self.add_error("check_found", "Write how much the titration found.")
        if method != TITRATION and found is not None:
            self.add_error("check_method", "A figure is of a titration: choose it.")

    def checked(self):
        """Its readings, for the deed."""
        facts = self.cleaned_data
        said, method = facts["check"], facts["check_method"]
        if not method:
            return ()
        passed = None if said == UNKNOWN_CHECK else said == PASSED
        if method == TITRATION:
            found = as_koh(facts["check_found"], "KOH")
            return (Reading(FREE_ALKALI, found, passed=passed, method=TITRATION),)
        spots = ", ".join(facts["check_spots"])
        return (Reading(NEUTRALITY, passed=passed, method=DROP_TEST, where=spots),)
