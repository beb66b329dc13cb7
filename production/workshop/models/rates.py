"""What making costs beside its goods: hours, power, and the rent of a year.

Each is said from a day on, or of a year, and said anew by another row: what was written
with an older one keeps it.
"""

from django.db import models
from django.db.models import Q

from production.quantities.fields import HoursField, MoneyField
from production.record.models.ink import WhileItsDeedStands
from production.record.models.workshop import Named


class HourRate(WhileItsDeedStands):
    """What an hour of somebody costs from a day on; people stand as they are typed.

    ``unpaid``: an owner's own time, which is no cost of the goods and is shown apart.
    """

    person = models.CharField(max_length=80)
    rate = MoneyField()
    unpaid = models.BooleanField(default=False)
    since = models.DateField()

    class Meta:
        ordering = ["since", "id"]
        constraints = [
            models.CheckConstraint(
                name="an_hour_costs_no_less_than_nothing", condition=Q(rate__gte=0)
            )
        ]

    def __str__(self):
        return f"{self.person} from {self.since}"


class Tariff(WhileItsDeedStands):
    """What a kilowatt hour costs from a day on."""

    price = MoneyField()
    since = models.DateField()

    class Meta:
        ordering = ["since", "id"]
        constraints = [
            models.CheckConstraint(
                name="power_costs_no_less_than_nothing", condition=Q(price__gte=0)
            )
        ]

    def __str__(self):
        return f"power from {self.since}"


class Equipment(Named):
    """What draws power while it works: a kettle, a stick blender, a heat gun."""

    plain_name = True

    name = models.CharField(max_length=80, unique=True)
    power = models.DecimalField("draws, kW", max_digits=7, decimal_places=3)

    class Meta(Named.Meta):
        verbose_name_plural = "equipment"
        constraints = [
            models.CheckConstraint(
                name="equipment_draws_something", condition=Q(power__gt=0)
            )
        ]


class Overhead(WhileItsDeedStands):
    """What a year is meant to cost beside goods and work, and its normal hours.

    Normal hours are those of a usual year, not of this one (IAS 2.13).
    """

    year = models.PositiveSmallIntegerField()
    budget = MoneyField()
    normal = HoursField("hours of work in a normal year")

    class Meta:
        ordering = ["year", "id"]
        verbose_name_plural = "overhead"
        constraints = [
            models.CheckConstraint(
                name="a_normal_year_has_hours_of_work",
                condition=Q(normal__gt=0, budget__gte=0),
            )
        ]

    def __str__(self):
        return f"overhead of {self.year}"


class OverheadPaid(WhileItsDeedStands):
    """What the overhead of a year really came to."""

    year = models.PositiveSmallIntegerField()
    actual = MoneyField()

    class Meta:
        ordering = ["year", "id"]
        verbose_name_plural = "overhead paid"
        constraints = [
            models.CheckConstraint(
                name="overhead_paid_is_no_less_than_nothing", condition=Q(actual__gte=0)
            )
        ]

    def __str__(self):
        return f"overhead paid in {self.year}"
