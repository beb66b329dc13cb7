"""What an owner says after a restore: codes read off, checks and holds since."""

import re

from django import forms

from production.pages.forms.deed import DeedForm, PaperField, RowForm
from production.pages.forms.fields import CHOOSE, DayField
from production.restoring.actions import FAILED, GONE, HELD, Since
from production.stock.forms.fields import find_lot
from production.stock.models.batches import Batch

WHAT = [
    CHOOSE,
    (FAILED, "a check failed"),
    (HELD, "it was held, or somebody reacted"),
    (GONE, "some was sold, given or used"),
]


class SinceRow(RowForm):
    """One lot or open batch, and what happened to it."""

    tells = ("of", "what", "day", "words")
    of = forms.CharField(
        label="Lot or open batch",
        max_length=80,
        required=False,
        widget=forms.TextInput(attrs={"list": "things"}),
    )
    what = forms.ChoiceField(label="What happened", choices=WHAT, required=False)
    day = DayField(label="On", required=False)
    words = forms.CharField(label="Result, or cause", max_length=300, required=False)

    def clean(self):
        facts = super().clean()
        if not self.has_changed() or self.errors:
            return facts
        wanted = {
            "of": "Write the code of the lot or the open batch.",
            "what": "Choose what happened.",
            "day": "Write the day on which it happened.",
        }
        for name, says in wanted.items():
            if not facts.get(name):
                self.add_error(name, says)
        if facts.get("what") == HELD and not facts.get("words", "").strip():
            self.add_error("words", "Write why it was held.")
        return facts

    def clean_of(self):
        text = self.cleaned_data["of"].strip()
        if not text:
            return None
        if batch := Batch.objects.filter(code__iexact=text, lot=None).first():
            return batch
        return find_lot(text)

    def told(self):
        facts = self.cleaned_data
        return Since(facts["what"], facts["of"], facts["day"], facts["words"])


class SinceBackupForm(DeedForm):
    """Nothing is preset: that there was none is said by a tick, too."""

    codes = forms.CharField(
        label="Codes and numbers that this book does not know",
        required=False,
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 5}),
        help_text="Lots, batches (B-…), purchases (P-…), sales (S-…), returns (RT-…): "
        "one a line. The letters do not show which came last, so write each one.",
    )
    confirmed = PaperField(label="They stand there as I wrote them")
    no_codes = forms.BooleanField(
        label="I looked at bottles, labels, batch sheets and papers: there is none",
        required=False,
    )
    none_else = forms.BooleanField(
        label="Nothing else since then: no other check failed, nothing else was held",
        error_messages={
            "required": "Ask everybody who worked since then, write each lot of which "
            "something is known, and then tick that there is nothing else."
        },
    )
    row_sets = {"since": (SinceRow, "Checks that failed, holds, and what went")}
    after_rows: tuple[str, ...] = ("none_else", "on", "reason")

    def __init__(self, *args, here=(), **kwargs):
        super().__init__(*args, **kwargs)
        named = [(str(one.thing), _name(one)) for one in here]
        self.suggestions = {"things": named}

    def clean_codes(self):
        lines = re.split(r"[\n,;]", self.cleaned_data["codes"])
        return [line.strip() for line in lines if line.strip()]

    def clean(self):
        facts = super().clean()
        codes, none = facts.get("codes"), facts.get("no_codes")
        if "codes" in self.errors or bool(codes) != bool(none):
            return facts
        says = "Write each code that you find, or tick that there is none."
        if "no_codes" not in self.fields:
            says = "Write each code that was found."
        if codes:
            says = (
                "Codes are written, and it is ticked that there is none: which is it?"
            )
        self.add_error("codes", says)
        return facts

    def arguments(self):
        names = ("key", "on", "reason", "codes", "confirmed")
        since = self.rows["since"].written() if self.rows else ()
        given = {name: self.cleaned_data[name] for name in names}
        return {**given, "since": [row.told() for row in since]}


class MoreCodesForm(SinceBackupForm):
    """Codes that were found after the answer: they are added to it."""

    no_codes = none_else = None
    row_sets = {}
    after_rows = ("on", "reason")


def _name(one):
    return one.lot.item.name if one.lot else one.batch.get_stage_display()
