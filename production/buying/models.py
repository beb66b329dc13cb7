"""What was ordered, what arrived and what it was billed at."""

from django.db import models
from django.db.models import BooleanField, Exists, ExpressionWrapper, OuterRef, Q
from django.db.models.functions import Upper
from django.urls import reverse

from production.quantities.fields import MoneyField, QuantityField
from production.record.models.ink import (
    ByDeed,
    ByDeedQuerySet,
    Deed,
    KnowsWhatStands,
    WhileItsDeedStands,
)
from production.record.models.workshop import Card
from production.stock.models.lots import Movement
from production.workshop.models.items import Item


class Supplier(Card):
    plain_name = True

    name = models.CharField(max_length=120, unique=True)
    contact = models.CharField(max_length=200, blank=True)
    note = models.TextField(blank=True)


class PurchaseQuerySet(KnowsWhatStands):
    def with_standing(self):
        """Add ``stands``: whether any line of it does."""
        lines = PurchaseLine.objects.standing().filter(purchase=OuterRef("pk"))
        return self.annotate(stands=Exists(lines))


class Purchase(models.Model):
    """An order: its arrival and its invoice are dates of their own.

    Two standing ones of a supplier never share a number; the deed sees to that while it
    holds the lock of the book, since an index cannot look at what was taken back.
    """

    deed = models.ForeignKey("production.Deed", models.PROTECT, related_name="+")
    number = models.CharField(max_length=60, db_index=True)
    supplier = models.ForeignKey(Supplier, models.PROTECT, related_name="purchases")
    ordered = models.DateField(null=True, blank=True)
    arrived = models.DateField()
    invoiced = models.DateField(null=True, blank=True)
    currency = models.CharField("currency of the invoice", max_length=3, blank=True)
    rate = models.DecimalField(
        "rate of a foreign invoice", max_digits=14, decimal_places=8, default=1
    )

    objects = PurchaseQuerySet.as_manager()

    class Meta:
        ordering = ["-arrived", "-id"]
        indexes = [models.Index(Upper("number"), name="purchase_in_any_case")]

    def __str__(self):
        return self.number

    def get_absolute_url(self):
        return reverse("purchase", args=[self.pk])

    @property
    def already(self):
        """Said where its number is written again."""
        return f"{self.supplier} has sent {self} already: it arrived on {self.arrived}."


class PurchaseLineQuerySet(KnowsWhatStands, ByDeedQuerySet):
    def with_standing(self):
        """Add ``stands``: goods of it are in the book, or it was billed without any."""
        arrived = Movement.objects.standing().filter(
            kind=Movement.Kind.RECEIVED, lot__line=OuterRef("pk")
        )
        undone = Exists(Deed.objects.filter(undoes=OuterRef("deed")))
        stands = ~undone & (Q(item__isnull=True) | Exists(arrived))
        return self.annotate(stands=ExpressionWrapper(stands, BooleanField()))


class PurchaseLine(ByDeed):
    """One line of an invoice; it may come as several lots, or as none."""

    purchase = models.ForeignKey(Purchase, models.PROTECT, related_name="lines")
    position = models.PositiveSmallIntegerField()
    item = models.ForeignKey(
        Item, models.PROTECT, null=True, blank=True, related_name="purchase_lines"
    )
    text = models.CharField(max_length=200, blank=True)
    amount = QuantityField(null=True, blank=True)
    shipping_weight = QuantityField(null=True, blank=True)

    objects = PurchaseLineQuerySet.as_manager()

    class Meta:
        ordering = ["purchase", "position"]
        constraints = [
            models.UniqueConstraint(
                name="one_line_at_each_position", fields=["purchase", "position"]
            ),
            models.CheckConstraint(
                name="line_names_an_item_or_a_text",
                condition=Q(item__isnull=False, amount__gt=0) | ~Q(text=""),
            ),
            models.CheckConstraint(
                name="shipping_weight_is_not_below_zero",
                condition=Q(shipping_weight__isnull=True) | Q(shipping_weight__gte=0),
            ),
        ]

    def __str__(self):
        return f"{self.purchase} line {self.position}"


class LinePrice(WhileItsDeedStands):
    """What a line costs in all. Goods may arrive first; the latest price counts."""

    line = models.ForeignKey(PurchaseLine, models.PROTECT, related_name="prices")
    price = MoneyField()
    tax = MoneyField(default=0)
    recoverable_tax = MoneyField(default=0)

    class Meta:
        ordering = ["id"]

    def __str__(self):
        return f"{self.price} for {self.line}"


class ExtraCost(WhileItsDeedStands):
    """Freight, duty, surcharge or a credit on an invoice, shared over its lines."""

    class Kind(models.TextChoices):
        FREIGHT = "freight"
        DUTY = "duty"
        SURCHARGE = "surcharge"
        CREDIT = "credit"

    class By(models.TextChoices):
        VALUE = "value"
        WEIGHT = "weight"
        QUANTITY = "quantity"

    purchase = models.ForeignKey(Purchase, models.PROTECT, related_name="extra_costs")
    kind = models.CharField(max_length=9, choices=Kind)
    amount = MoneyField()
    recoverable_tax = MoneyField(default=0)
    by = models.CharField(max_length=8, choices=By, default=By.WEIGHT)
    invoiced = models.DateField()
    currency = models.CharField(
        max_length=3, blank=True, help_text="Left empty, it is that of the invoice."
    )
    rate = models.DecimalField(
        max_digits=14,
        decimal_places=8,
        null=True,
        blank=True,
        help_text="Its own rate; none where it goes by the rate of the invoice.",
    )

    class Meta:
        ordering = ["id"]

    @property
    def known_as(self):
        return f"extra cost on {self.purchase}"

    def __str__(self):
        return f"{self.kind} {self.amount} on {self.purchase}"


class BillPaid(WhileItsDeedStands):
    """Money that left for a purchase and its bills, on the day of its deed, in the
    workshop's own money; below zero it came back. ``settles``: nothing more is owed,
    whatever the sum.
    """

    purchase = models.ForeignKey(Purchase, models.PROTECT, related_name="payments")
    amount = MoneyField()
    settles = models.BooleanField(default=False)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                name="paid_for_a_purchase_is_not_nothing", condition=~Q(amount=0)
            )
        ]

    def __str__(self):
        return f"{self.amount} for {self.purchase}"


class SentBack(ByDeed):
    """Goods that went back to their supplier."""

    movement = models.OneToOneField(Movement, models.PROTECT, related_name="sent_back")

    @property
    def known_as(self):
        return f"what was sent back of {self.movement.lot}"

    def __str__(self):
        return f"{self.movement.lot} sent back"


class SupplierCredit(WhileItsDeedStands):
    """What a supplier credits for goods that he got back, in the workshop's own money,
    on the day of its deed. The latest of a sending counts.
    """

    sent = models.ForeignKey(SentBack, models.PROTECT, related_name="credits")
    note = models.CharField("number of the credit note", max_length=60, blank=True)
    credit = MoneyField()
    recoverable_tax = MoneyField(default=0)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                name="a_supplier_credits_no_less_than_nothing",
                condition=Q(credit__gte=0, recoverable_tax__gte=0),
            )
        ]

    def __str__(self):
        return f"{self.note or 'credit'} for {self.sent.movement.lot}"
