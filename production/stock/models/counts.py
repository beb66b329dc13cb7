"""What is kept of the stock book, and what was found when somebody looked."""

from django.db import models
from django.db.models import Exists, F, OuterRef, Q

from production.quantities.fields import QuantityField
from production.record.models.ink import (
    ByDeedQuerySet,
    StandingManager,
    WhileItsDeedStands,
)
from production.stock.models.lots import Lot, Movement
from production.workshop.models.places import Place


class Stock(models.Model):
    """What stands of a lot at a place: the sum of its entries there.

    No ink. It is changed only where entries are posted, under the same lock; ``audit``
    compares it with the entries, and ``remake_stock`` makes it anew from them.
    """

    lot = models.ForeignKey(Lot, models.PROTECT, related_name="stock")
    place = models.ForeignKey(Place, models.PROTECT, related_name="stock")
    amount = QuantityField()

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(
                name="one_row_of_stock_a_lot_and_place", fields=["lot", "place"]
            ),
            models.CheckConstraint(
                name="stock_is_never_below_zero", condition=Q(amount__gte=0)
            ),
        ]

    def __str__(self):
        return f"{self.amount} of {self.lot} at {self.place}"


class CountQuerySet(ByDeedQuerySet):
    def standing(self):
        """Without those that were taken back, whole or by their entry."""
        gone = Movement.objects.filter(reverses=OuterRef("entry"))
        return super().standing().exclude(Exists(gone))

    def latest(self):
        """The last one of each lot and place: an earlier one is answered by it."""
        same_day, at = Q(on=OuterRef("on")), OuterRef("position")
        later = Count.objects.filter(
            Q(on__gt=OuterRef("on"))
            | same_day & Q(position__gt=at)
            | same_day & Q(position=at, pk__gt=OuterRef("pk")),
            lot=OuterRef("lot"),
            place=OuterRef("place"),
        )
        return self.exclude(Exists(later))


class Count(WhileItsDeedStands):
    """What was found of a lot at a place on a day, and what the book said then.

    ``entry`` is the difference that was booked, None where they agreed; ``position``
    the last entry that was written by then: what is written later, of the same day,
    happened after it. ``batch`` may have got what was missing.
    """

    lot = models.ForeignKey(Lot, models.PROTECT, related_name="counts")
    place = models.ForeignKey(Place, models.PROTECT, related_name="+")
    on = models.DateField()
    found = QuantityField()
    booked = QuantityField()
    reweighed = models.BooleanField(default=False)
    position = models.BigIntegerField()
    entry = models.OneToOneField(
        Movement, models.PROTECT, null=True, related_name="count"
    )
    why = models.CharField(max_length=500, blank=True)
    batch = models.ForeignKey(
        "production.Batch", models.PROTECT, null=True, related_name="may_have_got"
    )

    objects = StandingManager.from_queryset(CountQuerySet)()
    written = CountQuerySet.as_manager()

    class Meta:
        ordering = ["on", "position", "id"]
        indexes = [models.Index(fields=["lot", "place", "on", "position"])]
        constraints = [
            models.CheckConstraint(
                name="nothing_is_found_below_zero", condition=Q(found__gte=0)
            ),
            models.CheckConstraint(
                name="what_differs_is_booked",
                condition=Q(entry__isnull=True, found=F("booked"))
                | Q(entry__isnull=False) & ~Q(found=F("booked")),
            ),
        ]

    def __str__(self):
        return f"{self.found} of {self.lot} found at {self.place} on {self.on}"
