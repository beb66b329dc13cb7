"""Rework takes from any status and any place, also of what came back."""

from dataclasses import replace

from production.batches.forms.batches import BatchForm, UseRow, UsesForm
from production.stock.forms.choices import lots_to_choose, taps
from production.stock.forms.places import PlaceOf
from production.stock.reads.places_of_lots import in_words, stands_of


class ReworkRow(UseRow):
    """Where a lot stands at more than one place, it is said from which it is taken."""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.stands = stands_of(self.typed, apart=True) if self.typed else []
        if self.typed and len(self.stands) > 1:
            self.fields["place"] = PlaceOf(self.stands, self.typed.item.unit)

    def clean(self):
        facts = super().clean()
        if self.typed and "place" in self.fields and not facts.get("place"):
            says = in_words(self.stands, self.typed.item.unit)
            self.add_error("place", f"Say from which: {says}.")
        return facts

    def use(self, places):
        place = self.cleaned_data.get("place")
        return replace(super().use(places), **({"place": place} if place else {}))


class ReworkUsesForm(UsesForm):
    row_sets = {"uses": (ReworkRow, "What goes in")}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.suggestions = {"lots": taps() + lots_to_choose()}


class ReworkForm(BatchForm):
    row_sets = {**BatchForm.row_sets, "uses": (ReworkRow, "What went in")}
