"""Who has which bottle."""

from collections import defaultdict
from decimal import Decimal

from django.db import models
from django.db.models import Exists, OuterRef, Q
from django.urls import reverse

from production.quantities.domain.numbers import plain
from production.quantities.fields import MoneyField, QuantityField
from production.record.models.ink import (
    ByDeed,
    ByDeedQuerySet,
    KnowsWhatStands,
    WhileItsDeedStands,
)
from production.record.models.workshop import Card
from production.selling.domain.sales_tax import INSIDE, ON_TOP
from production.stock.models.lots import Lot, Movement


class Customer(Card):
    name = models.CharField(max_length=120, unique=True)
    contact = models.CharField(max_length=200, blank=True)


class SaleQuerySet(KnowsWhatStands):
    def with_standing(self):
        """Add ``stands``: whether any line of it does."""
        lines = SaleLine.objects.standing().filter(sale=OuterRef("pk"))
        return self.annotate(stands=Exists(lines))


class Sale(models.Model):
    """A delivery to a customer, or to whoever came to a channel on that day.

    Two standing ones never share a number, nor two standing returns; the deed sees to
    that while it holds the lock of the book. ``tax_rate`` is a fraction.
    """

    class TaxIs(models.TextChoices):
        ON_TOP = ON_TOP, "on top of the prices"
        INSIDE = INSIDE, "in the prices"

    deed = models.ForeignKey("production.Deed", models.PROTECT, related_name="+")
    number = models.CharField(max_length=60, db_index=True)
    on = models.DateField()
    channel = models.CharField(max_length=80, blank=True)
    customer = models.ForeignKey(
        Customer, models.PROTECT, null=True, blank=True, related_name="sales"
    )
    tax_rate = models.DecimalField(
        "sales tax", max_digits=7, decimal_places=6, null=True, blank=True
    )
    tax_is = models.CharField(
        "the sales tax is", max_length=6, choices=TaxIs, default=TaxIs.ON_TOP
    )

    objects = SaleQuerySet.as_manager()

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

    @property
    def already(self):
        """Said where its number is written again."""
        return f"There is a sale {self} already, of {self.on}."


class SaleLineQuerySet(KnowsWhatStands, ByDeedQuerySet):
    def with_standing(self):
        """Add ``stands``: whether it was sold, and that was not taken back."""
        sold = Movement.objects.standing().filter(
            kind=Movement.Kind.SOLD, sale_line=OuterRef("pk")
        )
        return self.annotate(stands=Exists(sold))


class SaleLine(ByDeed):
    sale = models.ForeignKey(Sale, models.PROTECT, related_name="lines")
    position = models.PositiveSmallIntegerField()
    lot = models.ForeignKey(Lot, models.PROTECT, related_name="sale_lines")
    amount = QuantityField()
    unit_price = MoneyField(null=True, blank=True)
    deposit = MoneyField("deposit on one", null=True, blank=True)
    tax = MoneyField(
        null=True, blank=True, help_text="As its paper says; else by the rate."
    )

    objects = SaleLineQuerySet.as_manager()

    class Meta:
        ordering = ["sale", "position"]
        constraints = [
            models.UniqueConstraint(
                name="one_sale_line_at_each_position", fields=["sale", "position"]
            ),
            models.CheckConstraint(
                name="sale_line_is_more_than_nothing", condition=Q(amount__gt=0)
            ),
            models.CheckConstraint(
                name="a_deposit_is_no_less_than_nothing",
                condition=Q(deposit__isnull=True) | Q(deposit__gte=0),
            ),
        ]

    def __str__(self):
        return f"{self.sale} line {self.position}"


class SalePaid(WhileItsDeedStands):
    """Money that came in for a sale, on the day of its deed; below zero it went back.

    ``settles``: nothing more is expected, whatever the sum.
    """

    sale = models.ForeignKey(Sale, models.PROTECT, related_name="payments")
    amount = MoneyField()
    settles = models.BooleanField(default=False)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                name="paid_for_a_sale_is_not_nothing", condition=~Q(amount=0)
            )
        ]

    def __str__(self):
        return f"{self.amount} for {self.sale}"


class ReturnQuerySet(KnowsWhatStands, ByDeedQuerySet):
    def with_standing(self):
        """Add ``stands``: whether its entry, or the same entered anew, is in force."""
        row = Movement.objects.standing().filter(
            Q(pk=OuterRef("movement")) | Q(root=OuterRef("movement"))
        )
        return self.annotate(stands=Exists(row))


class Return(ByDeed):
    """Goods that came back, and what was done with them."""

    class Then(models.TextChoices):
        APART = "apart", "put apart, to be looked at"
        RESTOCK = "restock", "back into stock"
        DESTROY = "destroy", "destroyed"

    number = models.CharField(max_length=60, db_index=True)
    line = models.ForeignKey(SaleLine, models.PROTECT, related_name="returns")
    movement = models.OneToOneField(Movement, models.PROTECT, related_name="+")
    then = models.CharField(max_length=7, choices=Then)

    objects = ReturnQuerySet.as_manager()

    def __str__(self):
        return self.number

    @property
    def became(self):
        """What was done with it, and what was seen of what stands apart."""
        if self.then != self.Then.APART:
            return self.get_then_display()
        seen: dict[str, Decimal] = defaultdict(Decimal)
        for look in self.looks.all():
            seen[look.get_seen_display()] += look.amount
        seen["to be looked at"] += self.movement.amount - sum(seen.values())
        return ", ".join(f"{plain(n)} {said}" for said, n in seen.items() if n)

    @property
    def already(self):
        """Said where its number is written again."""
        return f"There is a return {self} already, of {self.deed.on}."


class Looked(WhileItsDeedStands):
    """What somebody saw of goods that had come back and stood apart."""

    class Seen(models.TextChoices):
        SEALED = "sealed", "sealed and fine"
        OPENED = "opened", "opened"
        REFILLED = "refilled", "refilled"
        DAMAGED = "damaged", "damaged"

    # Such goods never go back for sale.
    UNFIT = frozenset({Seen.OPENED, Seen.REFILLED, Seen.DAMAGED})

    back = models.ForeignKey(Return, models.PROTECT, related_name="looks")
    seen = models.CharField(max_length=8, choices=Seen)
    amount = QuantityField()

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                name="a_look_is_at_more_than_nothing", condition=Q(amount__gt=0)
            )
        ]

    def __str__(self):
        return f"{self.back}: {self.get_seen_display()}"


class EmptyBack(WhileItsDeedStands):
    """Empties that a customer brought back, and the deposit that went out for each.

    They are a lot of packaging of their own; ``movement`` is how they came into it.
    """

    movement = models.OneToOneField(Movement, models.PROTECT, related_name="+")
    customer = models.ForeignKey(
        Customer, models.PROTECT, null=True, blank=True, related_name="empties"
    )
    channel = models.CharField(max_length=80, blank=True)
    deposit = MoneyField("deposit paid back for one")

    class Meta:
        ordering = ["id"]
        verbose_name_plural = "empties back"
        constraints = [
            models.CheckConstraint(
                name="empties_lead_to_a_customer_or_a_channel",
                condition=Q(customer__isnull=False) | ~Q(channel=""),
            ),
            models.CheckConstraint(
                name="what_is_paid_back_is_no_less_than_nothing",
                condition=Q(deposit__gte=0),
            ),
        ]

    def __str__(self):
        return f"{self.movement.lot}"

    def get_absolute_url(self):
        return self.movement.lot.get_absolute_url()
