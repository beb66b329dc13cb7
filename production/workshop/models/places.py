"""The workshop itself, and the places where its goods stand."""

from django.db import models

from production.quantities.fields import QuantityField
from production.record.models.workshop import Named


class Place(Named):
    """Where goods stand: the workshop, the crate for the stall, a consignment shop."""

    plain_name = True

    name = models.CharField(max_length=80, unique=True)
    customer = models.ForeignKey(
        "production.Customer",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="places",
        help_text="Whose shop it is, where goods stand with a customer.",
    )
    apart = models.BooleanField(
        default=False,
        help_text="What came back stands here, not for sale, to be looked at.",
    )


class Vessel(Named):
    """A kettle, pot or jug: what it holds to the brim, and what it weighs empty."""

    name = models.CharField(max_length=80, unique=True)
    volume = models.DecimalField(
        "holds to the brim, mL", max_digits=9, decimal_places=1
    )
    tare = QuantityField("weighs empty, g", null=True, blank=True)

    class Meta(Named.Meta):
        constraints = [
            models.CheckConstraint(
                name="a_vessel_holds_something", condition=models.Q(volume__gt=0)
            ),
            models.CheckConstraint(
                name="a_vessel_weighs_something",
                condition=models.Q(tare__isnull=True) | models.Q(tare__gt=0),
            ),
        ]
