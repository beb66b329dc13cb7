"""Who has which bottle."""

from django.db import models
from django.db.models import Q
from django.urls import reverse

from production.fields import GramsField, MoneyField
from production.models.ink import ByDeed
from production.models.ledger import Lot, Movement


class Customer(models.Model):
    name = models.CharField(max_length=120, unique=True)
    contact = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self):
        return self.name

    def get_absolute_url(self):
        return reverse("customer", args=[self.pk])


class Sale(models.Model):
    """A delivery to a customer, or to whoever came to a channel on that day."""

    deed = models.ForeignKey("production.Deed", models.PROTECT, related_name="+")
    number = models.CharField(max_length=60, unique=True)
    on = models.DateField()
    channel = models.CharField(max_length=80, blank=True)
    customer = models.ForeignKey(
        Customer, models.PROTECT, null=True, blank=True, related_name="sales"
    )

    class Meta:
        ordering = ["-on", "-id"]
        constraints = [
            models.CheckConstraint(
                name="sale_leads_to_a_customer_or_a_channel",
                condition=Q(customer__isnull=False) | ~Q(channel=""),
            )
        ]

    def __str__(self):
        return self.number

    def get_absolute_url(self):
        return reverse("sale", args=[self.pk])


class SaleLine(ByDeed):
    sale = models.ForeignKey(Sale, models.PROTECT, related_name="lines")
    position = models.PositiveSmallIntegerField()
    lot = models.ForeignKey(Lot, models.PROTECT, related_name="sale_lines")
    amount = GramsField()
    unit_price = MoneyField(null=True, blank=True)

    class Meta:
        ordering = ["sale", "position"]
        constraints = [
            models.UniqueConstraint(
                name="one_sale_line_at_each_position", fields=["sale", "position"]
            ),
            models.CheckConstraint(
                name="sale_line_is_more_than_nothing", condition=Q(amount__gt=0)
            ),
        ]

    def __str__(self):
        return f"{self.sale} line {self.position}"


class Return(ByDeed):
    """Goods that came back, and what was done with them."""

    class Then(models.TextChoices):
        RESTOCK = "restock", "back into stock"
        DESTROY = "destroy", "destroyed"

    number = models.CharField(max_length=60, unique=True)
    line = models.ForeignKey(SaleLine, models.PROTECT, related_name="returns")
    movement = models.OneToOneField(Movement, models.PROTECT, related_name="+")
    then = models.CharField(max_length=7, choices=Then)

    def __str__(self):
        return self.number
