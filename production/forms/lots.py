"""A lot in hand: checks, status, counts, and goods that leave without a sale."""

from django import forms

from production.domain.numbers import plain
from production.forms.bench import WorkOut
from production.forms.deed import DeedForm
from production.forms.fields import (
    AmountField,
    Choice,
    understand,
)
from production.forms.places import PlaceOf, places_to_put
from production.models import Given, Measurement
from production.reads.whence import stands_of


def limits_of(version):
    """What a version asks to be read, each with its limits, as in "pH 9 to 10.5"."""
    if version is None:
        return []
    return [_limit(check) for check in version.checks.all()]


def _limit(check):
    share = check.what in Measurement.SHARES
    low, high = (
        None if end is None else plain(end * 100 if share else end)
        for end in (check.low, check.high)
    )
    percent = " %" if share else ""
    span = {
        (True, True): f" {low} to {high}{percent}",
        (True, False): f" from {low}{percent}",
        (False, True): f" up to {high}{percent}",
        (False, False): "",
    }[low is not None, high is not None]
    return f"{check.what}{span}" + (f" ({check.how})" if check.how else "")


class LotForm(DeedForm):
    """A deed on one lot: amounts are read as its item is measured."""

    placed = True

    def __init__(self, *args, lot, **kwargs):
        self.lot = lot
        super().__init__(*args, **kwargs)

    def clean(self):
        facts = super().clean()
        for name, field in self.fields.items():
            if isinstance(field, AmountField) and name in facts:
                understand(self, name, self.lot.item)
        return facts

    def arguments(self):
        given = super().arguments()
        for name, field in self.fields.items():
            if isinstance(field, AmountField) and name in given:
                if given[name]:
                    given[name] = given[name].grams_or_pieces
                else:
                    del given[name]
        return given


class PlacedForm(LotForm):
    """The place is asked only of a lot that stands at more than one."""

    from_apart = True

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        stands = stands_of(self.lot, apart=self.from_apart)
        self.only_place = stands[0][0] if len(stands) == 1 else None
        if len(stands) > 1:
            unit = self.lot.item.unit
            self.fields["place"] = PlaceOf(stands, unit, label="At", required=True)
            self.order_fields(["key", "place"])

    def arguments(self):
        only = {"place": self.only_place} if self.only_place else {}
        return super().arguments() | only


class StatusForm(DeedForm):
    reason_asked = True


class Override(forms.Form):
    """An owner lets go, in the act, what nobody else may, and says why."""

    override = forms.BooleanField(
        label="It has expired, or is an alkali as such, and leaves all the same",
        required=False,
        help_text="Only an owner may, and only with a reason.",
    )
    folded: tuple[str, ...] = ("override",)


class ReweighForm(PlacedForm):
    found = AmountField(
        label="Weighs now", help_text="The difference is water that came or went."
    )
    work_out = WorkOut()


class GiveForm(Override, PlacedForm):
    amount = AmountField(label="How much")
    why = forms.ChoiceField(choices=Given.Why)
    recipient = forms.CharField(
        label="To whom", required=False, max_length=120, help_text="If it is known."
    )


class DiscardForm(PlacedForm):
    reason_asked = True
    amount = AmountField(label="How much")


class MoveForm(Override, PlacedForm):
    from_apart = False
    amount = AmountField(label="How much")
    to = Choice(places_to_put(), label="To")
