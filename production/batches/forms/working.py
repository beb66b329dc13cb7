"""Hours at a rate, in rows: who worked, what ran, and what the year's overhead adds."""

from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from production.pages.forms.deed import DeedForm, RowForm
from production.pages.forms.fields import (
    Choice,
    KilowattField,
    MoneyField,
    NumberField,
    typed_in,
)
from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused
from production.quantities.domain.time_text import read_hours
from production.record.models.workshop import Workshop
from production.record.reads.clock import today
from production.stock.models.batches import Work
from production.workshop.models.rates import Equipment
from production.workshop.reads.rates import RatesOn, rates_on
from production.yields.domain.hours_and_losses import NewWork

DAY = Decimal(24)
CENT = Decimal("0.01")
KIND = Work.Kind
OF_PEOPLE = frozenset({KIND.LABOUR, KIND.UNPAID})


class HoursField(NumberField):
    """Hours of one line, or minutes; more than a day has are hardly hours."""

    def __init__(self, **kwargs):
        super().__init__(places=4, **kwargs)

    def read(self, text):
        return read_hours(text)

    def clean(self, value):
        hours = super().clean(value)
        if hours is not None and hours > DAY:
            asked = plain(hours)
            raise ValidationError(
                f"{asked} hours are more than a day has. Are {asked} minutes meant? "
                f"Then write {asked} min; else write several lines."
            )
        return hours


def person_box(**kwargs):
    """A name as it is typed; those whose hour has a rate are offered."""
    return forms.CharField(
        required=False,
        max_length=80,
        widget=forms.TextInput(attrs={"list": "people", "autocapitalize": "words"}),
        **kwargs,
    )


def rate_of_an_hour(known: RatesOn, person: str, rate: Decimal | None):
    """What was typed, else what the person's hour costs that day; a fault is text."""
    said = known.of(person)
    if rate is not None:
        return rate
    if said is not None:
        return said.rate
    who = f"an hour of {person}" if person else "an hour"
    raise Refused(
        f"Write what {who} costs: nobody has said it for {known.day}. It is said once "
        "on the workshop's page of rates."
    )


def kind_of(known: RatesOn, kind: str, person: str) -> str:
    """Work of an owner who takes no wage is kept apart from labour."""
    said = known.of(person)
    unpaid = kind == KIND.LABOUR and said is not None and said.unpaid
    return KIND.UNPAID if unpaid else kind


class WorkRow(RowForm):
    tells = ("hours", "rate")
    folded = ("equipment", "power")
    folded_words = "It drew power"
    kind = forms.ChoiceField(choices=Work.Kind)
    person = person_box(label="Who worked")
    hours = HoursField(label="Hours, or 90 min")
    rate = MoneyField(
        label="Rate for an hour",
        of="an hour",
        required=False,
        help_text="Left empty: that person's, or that of power, on the day.",
    )
    equipment = Choice(
        Equipment.objects.all(), required=False, empty_label="nothing on a card"
    )
    power = KilowattField(
        label="It draws, kW",
        required=False,
        help_text="Left empty: as its card says. The rate is then that of a kWh.",
    )

    def settle(self, known):
        """Fill in what the rates of the day propose; fault what they cannot."""
        facts = self.cleaned_data
        kind, person = facts["kind"], " ".join(facts["person"].split())
        ran, power = facts["equipment"], facts["power"]
        runs = kind == KIND.ENERGY
        if not runs and (ran or power):
            self.add_error("kind", "What draws power is energy: choose that kind.")
            return
        power = power or (ran.power if ran else None)
        try:
            rate = self._rate(known, kind, person, power)
        except Refused as fault:
            self.add_error("rate", str(fault))
            return
        self.new = NewWork(
            kind=kind_of(known, kind, person),
            hours=facts["hours"],
            rate=rate,
            person=person,
            equipment=ran.name if ran else "",
            power=power,
        )

    def _rate(self, known, kind, person, power):
        rate = self.cleaned_data["rate"]
        if rate is not None:
            return rate
        if kind in OF_PEOPLE:
            return rate_of_an_hour(known, person, rate)
        if kind == KIND.ENERGY and power is None:
            raise Refused(
                "Choose what ran, or write what it draws; or write what the hour cost."
            )
        proposed = known.power if kind == KIND.ENERGY else known.overhead
        if proposed is None:
            what = "a kilowatt hour" if kind == KIND.ENERGY else "an hour's overhead"
            raise Refused(
                f"Write what {what} costs: nobody has said it for {known.day}. It is "
                "said once on the workshop's page of rates."
            )
        return proposed


class AsksWork(forms.Form):
    """A form with rows of work: rates are those of its day, overhead is a tick."""

    rows: Any
    after_rows: tuple[str, ...]
    suggestions: Any

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        day = typed_in(self, "on") if self.is_bound else today()
        self.known = rates_on(day or today())
        self.suggestions = {**self.suggestions, "people": people_in(self.known)}
        if asks_overhead(self, self.known):
            self.after_rows = ("overhead", *self.after_rows)

    def clean(self):
        facts = super().clean()
        for row in self.rows["work"].written():
            if row.is_valid():
                row.settle(self.known)
        return facts

    def is_valid(self):
        # The rates are known once the day is read.
        return super().is_valid() and self.rows["work"].is_valid()

    def arguments(self):
        given = super().arguments()
        ticked = given.pop("overhead", False)
        return {**given, "work": with_overhead(work_of(self), self.known, ticked)}


def work_of(form):
    return [row.new for row in form.rows["work"].written()]


def people_in(known):
    """Whose hour has a rate, and what it is."""
    currency = own_currency()
    return [
        (row.person, f"{sum_in(currency, row.rate)} an hour{', unpaid' * row.unpaid}")
        for row in known.people.values()
    ]


def own_currency():
    return Workshop.objects.values_list("currency", flat=True).first() or "USD"


def sum_in(currency, amount):
    cents = amount.quantize(CENT)
    return f"{cents if cents == amount else plain(amount)} {currency}"


def asks_overhead(form, known):
    """Offer a share of the year's overhead with each hour, where it has a budget."""
    if known.overhead is None:
        return False
    rate = sum_in(own_currency(), known.overhead)
    form.fields["overhead"] = forms.BooleanField(
        label=f"With overhead, {rate} for each hour of work",
        required=False,
        initial=True,
        help_text=f"The budget of {known.day.year} over its normal hours.",
    )
    return True


def with_overhead(work, known, ticked):
    """The same with the overhead of these hours, unless a row has written it."""
    hours = sum((one.hours for one in work if one.kind in OF_PEOPLE), Decimal(0))
    written = any(one.kind == KIND.OVERHEAD for one in work)
    if not ticked or written or not hours or known.overhead is None:
        return work
    return [*work, NewWork(str(KIND.OVERHEAD), hours, known.overhead)]


class WorkForm(AsksWork, DeedForm):
    row_sets = {"work": (WorkRow, "Hours")}
    spare_rows = 2

    def arguments(self):
        given = super().arguments()
        if not given["work"]:
            raise Refused("Write the hours and their rate.")
        return given
