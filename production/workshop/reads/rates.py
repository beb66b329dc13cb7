"""What an hour, a kilowatt hour and a year's overhead cost on a day."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from production.workshop.domain.rates import hourly
from production.workshop.models.rates import HourRate, Overhead, OverheadPaid, Tariff


def folded(person: str) -> str:
    """One person, whatever the capitals and spaces of their name."""
    return " ".join(person.split()).casefold()


@dataclass(frozen=True, slots=True)
class RatesOn:
    """All that is proposed on one day; None is what nobody has said."""

    day: date
    people: dict[str, HourRate]
    power: Decimal | None
    overhead: Decimal | None

    def of(self, person: str) -> HourRate | None:
        return self.people.get(folded(person))


def rates_on(day: date) -> RatesOn:
    """The latest word of each that holds on that day, in three queries."""
    rows = HourRate.objects.filter(since__lte=day).order_by("since", "pk")
    people = {folded(row.person): row for row in rows}
    power = Tariff.objects.filter(since__lte=day).order_by("since", "pk").last()
    return RatesOn(
        day=day,
        people=people,
        power=power.price if power else None,
        overhead=overhead_rate(overhead_of(day.year)),
    )


def overhead_of(year: int) -> Overhead | None:
    """The budget of a year as it was said last."""
    return Overhead.objects.filter(year=year).order_by("pk").last()


def overhead_rate(row: Overhead | None) -> Decimal | None:
    """What an hour of work bears of it."""
    return None if row is None else hourly(row.budget, row.normal)


def overhead_paid_in(year: int) -> OverheadPaid | None:
    """What it really came to, as it was said last."""
    return OverheadPaid.objects.filter(year=year).order_by("pk").last()
