"""Acid and soap: what a dose does, and what a titration says."""

from django import forms
from django.core.exceptions import ValidationError

from production.bench.forms.shape import (
    OVER,
    TIMES,
    Answer,
    Figure,
    SumForm,
    amount,
    at_the_bench,
    only_one,
    shown,
    to_place,
)
from production.chemistry.domain.late_acid import (
    acidify,
    as_much_of,
    free_koh,
    potassium_soap,
)
from production.chemistry.domain.pot import HIGHEST_SV, LOWEST_SV, Acid
from production.chemistry.domain.titration import as_other, citric_for
from production.contents.reads.contents import contents_of
from production.pages.forms.fields import NumberField, PercentField
from production.quantities.domain.numbers import ONE
from production.release.forms.titration import Burette
from production.stock.domain.checks import percent as percent_of
from production.stock.forms.fields import LotField
from production.stock.models.readings import Measurement
from production.stock.reads.stock import latest_measurement

ACIDS = {
    "citric": "citric acid, anhydrous",
    "citric monohydrate": "citric acid, monohydrate",
    "lactic": "lactic acid",
    "acetic": "acetic acid",
}
GLOVES = (
    "Goggles and gloves: the acid burns eyes, and the soap may still be lye. The "
    "safety data sheets of both come first."
)
HALF = "Add half of it, dissolved in water, stir it in, and test again before any more."
NO_TONGUE = (
    "Goggles and gloves: the titrant is an acid, and the alcohol burns. No flame; the "
    "safety data sheets come first. Never test by tongue or on the skin."
)


class AcidForm(SumForm):
    name, heading = "acid", "Acid into soap"
    about = "The dose that only takes up free alkali, and what more of it does."
    soap = amount("Soap, g", required=True)
    content = PercentField(label="Its soap content, %", required=False, high=True)
    lot = LotField(
        label="Or its lot",
        required=False,
        help_text="Then what went into it is reckoned with.",
    )
    free = NumberField(
        label="Free alkali, % as KOH",
        required=False,
        help_text="From a titration; of a lot, the book's own where left empty.",
    )
    kind = forms.ChoiceField(
        label="Acid", choices=list(ACIDS.items()), initial="citric"
    )
    purity = PercentField(
        label="Its purity, %", high=True, help_text="Off the pack: lactic is often 80."
    )
    dose = amount("Acid to add, g", help_text="Left empty, only the dose is reckoned.")
    sv = NumberField(
        label="Saponification value of its oils",
        initial="190",
        required=False,
        help_text="Not asked of a lot. 190 stands for most liquid oils, 250 for "
        "coconut: common practice, no source.",
    )

    def worked(self, facts):
        if not facts["purity"]:
            raise ValidationError({"purity": "Write a purity above 0 %."})
        held, note = self._held(facts)
        free = free_koh(held)
        only = citric_for(free, facts["kind"], purity=facts["purity"])
        notes = [note, self._dose_note(only)]
        if not facts["dose"]:
            figures = [Figure("Acid", only), Figure("Half of it first", only / 2)]
            return Answer(figures, self._working(free, only), notes, caution=GLOVES)
        grams = facts["dose"].grams_or_pieces
        late = acidify(held, Acid(facts["kind"], grams, facts["purity"]))
        left = free_koh(late.composition)
        if not late.haze:
            notes.append(f"No soap is touched: {shown(left)} of KOH stay free.")
        return Answer(
            [
                Figure("Free alkali taken up", free - left),
                Figure("Soap lost", late.soap_lost),
                Figure("Fatty acid freed", late.acid_freed),
            ],
            self._working(free, only),
            notes,
            remarks=tuple(at_the_bench(said) for said in late.remarks),
            caution=GLOVES,
        )

    def _held(self, facts):
        asks = "Write a soap content or the code of a lot, one of the two."
        if only_one(facts, ("content", "lot"), asks) == "content":
            return self._of_content(facts)
        return self._of_lot(facts)

    def _of_content(self, facts):
        if facts["free"] is None:
            raise ValidationError(
                {"free": "Write the free alkali, 0 if there is none."}
            )
        content, free = facts["content"], facts["free"] / 100
        if content + free > 1:
            says = "Soap and free alkali are more than the whole: read both again."
            raise ValidationError({"free": says})
        if not LOWEST_SV <= (facts["sv"] or 0) <= HIGHEST_SV:
            says = f"Write a value from {LOWEST_SV} to {HIGHEST_SV} mg KOH/g."
            raise ValidationError({"sv": says})
        grams = facts["soap"].grams_or_pieces
        held = potassium_soap(facts["sv"], grams, content, free)
        said = f"Reckoned as potassium soap of oils of {to_place(facts['sv'], 1)} mg "
        return held, said + "KOH/g."

    def _of_lot(self, facts):
        lot = facts["lot"]
        known = contents_of(lot)
        if not known.finished:
            why = " ".join(known.missing)
            says = f"What is in {lot.code} cannot be worked out. {why}"
            raise ValidationError({"lot": f"{says} Write its soap content instead."})
        if not known.finished.of_kind("soap"):
            says = f"{lot} holds no soap: write the code of a paste or a soap."
            raise ValidationError({"lot": says})
        share, how = self._free_share(lot)
        held = as_much_of(known.finished, facts["soap"].grams_or_pieces, share)
        return held, f"{lot.item}, {lot.code}: {how}."

    def _free_share(self, lot):
        """Free alkali as typed, or as read, or None: then the pot's own counts."""
        typed = self.cleaned_data["free"]
        if typed is not None:
            return typed / 100, "free alkali as typed"
        read = latest_measurement(lot, Measurement.What.FREE_ALKALI)
        if read is not None and read.value is not None:
            return read.value, f"free alkali {percent_of(read.value)} as last read"
        return None, "free alkali as worked out from what went in"

    def _dose_note(self, only):
        acid = ACIDS[self.cleaned_data["kind"]]
        if not only:
            return "There is no free alkali to take up: any acid costs soap."
        return f"{shown(only)} of {acid} take up the free alkali and no soap. {HALF}"

    def _working(self, free, only):
        kind, purity = self.cleaned_data["kind"], self.cleaned_data["purity"]
        gram = citric_for(ONE, kind)
        return (
            f"{shown(free)} free KOH {TIMES} {to_place(gram, 4)} g acid to 1 g KOH "
            f"{OVER} {to_place(purity, 4)} = {shown(only)}"
        )


class FreeAlkaliForm(Burette, SumForm):
    name, heading = "titration", "Free alkali from a titration"
    about = "From the acid that a sample took, in neutralised alcohol."

    def worked(self, facts):
        koh = facts["fraction"]
        return Answer(
            [
                Figure("Free alkali as KOH", text=percent_of(koh)),
                Figure("As NaOH", text=percent_of(as_other(koh, "KOH", "NaOH"))),
            ],
            self.working(),
            [],
            caution=NO_TONGUE,
        )
