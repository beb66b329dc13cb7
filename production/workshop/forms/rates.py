"""What an hour, power, equipment and a year's overhead cost."""

from django import forms

from production.pages.forms.deed import Signed
from production.pages.forms.fields import (
    DayField,
    KilowattField,
    MoneyField,
    NumberField,
)
from production.quantities.domain.numbers import plain
from production.workshop.actions.rates import TOO_LITTLE
from production.workshop.forms.cards import Card, OneSpelling
from production.workshop.models.rates import Equipment


class SaidFrom(Signed):
    """A word that holds from a day, or of a year; its deed is dated today."""

    def arguments(self):
        aside = ("key", "reason")
        own = {n: v for n, v in self.cleaned_data.items() if n not in aside}
        return {**own, **self.signed()}


class YearField(NumberField):
    """A year of four figures."""

    def __init__(self, **kwargs):
        super().__init__(places=0, **kwargs)

    def clean(self, value):
        year = super().clean(value)
        return None if year is None else int(year)


class HourRateForm(SaidFrom):
    person = forms.CharField(
        max_length=80, label="Whose hour", help_text="As you write it beside the work."
    )
    rate = MoneyField(label="An hour costs", of="an hour")
    since = DayField(label="From", help_text="Work written for earlier days stays.")
    unpaid = forms.BooleanField(
        label="An owner's own time, not paid",
        required=False,
        help_text="It is no cost of the goods in the books. It is kept at this rate, "
        "and each lot shows apart what it would cost with it.",
    )


class TariffForm(SaidFrom):
    price = MoneyField(label="A kilowatt hour costs", of="a kilowatt hour")
    since = DayField(label="From")


class OverheadForm(SaidFrom):
    year = YearField(label="Year")
    budget = MoneyField(
        label="The year is meant to cost",
        help_text="Rent, insurance, repairs, cleaning: what making costs beside goods, "
        "work and power. No office, no stall, no interest.",
    )
    normal = NumberField(
        places=4,
        label="Hours of work in a normal year",
        help_text="Of a usual year, not of a slow or a busy one (IAS 2.13).",
    )

    def clean_normal(self):
        """Of less, an hour would bear more than the whole year costs."""
        normal = self.cleaned_data["normal"]
        if normal is not None and normal < 1:
            raise forms.ValidationError(
                f"{plain(normal)} h is less than an hour of work in a whole year. "
                "Write the hours of all who work in a usual year, such as 240."
            )
        return normal


class OverheadPaidForm(SaidFrom):
    actual = MoneyField(
        label="The year came to", help_text="By the bills, once they are all in."
    )


class EquipmentForm(OneSpelling, Card):
    power = KilowattField(
        label="Draws, kW", help_text="As its plate says: 2, 0.35, or 350 W."
    )

    class Meta:
        model = Equipment
        fields = ("name", "power")

    def clean_power(self):
        power = self.cleaned_data["power"]
        if power is not None and power <= 0:
            raise forms.ValidationError(TOO_LITTLE)
        return power
