"""A lot in hand: checks, status, counts, and goods that leave without a sale."""

from django import forms

from production.pages.forms.deed import DeedForm
from production.pages.forms.fields import AmountField, Choice
from production.pages.forms.work_out import CalculateButton
from production.quantities.domain.numbers import plain
from production.stock.forms.lots import Override, PlacedForm
from production.stock.forms.places import places_to_put
from production.stock.models.lots import Given
from production.stock.models.readings import Measurement


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


class StatusForm(DeedForm):
    reason_asked = True


class ReweighForm(PlacedForm):
    found = AmountField(
        label="Weighs now", help_text="The difference is water that came or went."
    )
    work_out = CalculateButton()


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
