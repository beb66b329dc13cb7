"""Saying what an hour, power and a year's overhead cost.

A word holds from its day on and changes nothing that is written: work keeps the rate
that it was written with.
"""

from datetime import date
from decimal import Decimal
from typing import Any

from django.db import transaction

from production.quantities.domain.invisible import refuse_name
from production.quantities.domain.refusal import Refused
from production.record.actions.cards import change_card, save_card
from production.record.actions.deeds import deed, written
from production.record.domain.odd_dates import refuse_far
from production.record.models.ink import Deed
from production.workshop.models.rates import (
    Equipment,
    HourRate,
    Overhead,
    Tariff,
)

FIRST_YEAR, LAST_YEAR = 1990, 2100


@deed("say what an hour costs", moves_nothing=True, gives=HourRate)
def say_hour_rate(
    deed: Deed, *, person: str, rate: Decimal, since: date, unpaid: bool = False
) -> HourRate:
    """An hour of somebody from a day on.

    ``unpaid``: an owner who takes no wage. What they work from that day on is kept
    apart at this rate, and is no cost of the goods; earlier work stays as it is.
    """
    name = " ".join(person.split())
    if not name:
        raise Refused("Write whose hour it is.")
    refuse_name("person", name)
    refuse_far(since)
    if rate < 0:
        raise Refused("An hour does not cost less than nothing.")
    return written(
        HourRate(deed=deed, person=name, rate=rate, since=since, unpaid=unpaid)
    )


@deed("say what power costs", moves_nothing=True, gives=Tariff)
def say_tariff(deed: Deed, *, price: Decimal, since: date) -> Tariff:
    """A kilowatt hour from a day on."""
    refuse_far(since)
    if price < 0:
        raise Refused("A kilowatt hour does not cost less than nothing.")
    return written(Tariff(deed=deed, price=price, since=since))


@deed("budget the overhead", moves_nothing=True, gives=Overhead)
def budget_overhead(
    deed: Deed, *, year: int, budget: Decimal, normal: Decimal
) -> Overhead:
    """What a year is meant to cost beside goods and work, over its normal hours."""
    refuse_year(year)
    if budget < 0:
        raise Refused("Write what the year is meant to cost: nothing, or more.")
    if normal <= 0:
        raise Refused(
            "Write the hours of work of a normal year, above zero: the overhead is "
            "shared over them."
        )
    return written(Overhead(deed=deed, year=year, budget=budget, normal=normal))


def refuse_year(year: int) -> None:
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise Refused(f"{year} is no year of this workshop. Write it as 2026.")


@transaction.atomic
def add_equipment(*, name: str, power: Decimal) -> Equipment:
    """A kettle, a blender, a heat gun: what it draws in kW."""
    return save_card(_drawing(Equipment(name=" ".join(name.split()), power=power)))


@transaction.atomic
def change_equipment(*, equipment: Equipment, **facts: Any) -> Equipment:
    """What ran before keeps the power that it was written with."""
    if facts.get("power") is not None and facts["power"] <= 0:
        raise Refused(TOO_LITTLE)
    return change_card(equipment, facts)


TOO_LITTLE = "Write what it draws in kW, above zero, as its plate says: 2 or 0.35."


def _drawing(row: Equipment) -> Equipment:
    if row.power <= 0:
        raise Refused(TOO_LITTLE)
    return row
