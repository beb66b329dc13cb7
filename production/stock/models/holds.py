"""Why a lot is stopped, what lifts that, and who answers for what had left."""

from django.db import models
from django.db.models import Exists, OuterRef, Q

from production.record.models.ink import (
    ByDeed,
    ByDeedQuerySet,
    StandingManager,
    WhileItsDeedStands,
)
from production.stock.models.lots import Lot, Movement


class HoldQuerySet(ByDeedQuerySet):
    def unanswered(self):
        """Causes that nobody has lifted."""
        return self.exclude(Exists(HoldLifted.objects.filter(hold=OuterRef("pk"))))


class Hold(WhileItsDeedStands):
    """A person's cause for stopping a lot: it is held while any cause stands.

    A batch that has made nothing yet is held in its place: its lot is born held.
    """

    lot = models.ForeignKey(Lot, models.PROTECT, null=True, related_name="holds")
    batch = models.ForeignKey(
        "production.Batch", models.PROTECT, null=True, related_name="holds"
    )
    cause = models.CharField(max_length=500)
    on = models.DateField()

    objects = StandingManager.from_queryset(HoldQuerySet)()

    class Meta:
        ordering = ["on", "id"]
        constraints = [
            models.CheckConstraint(
                name="a_hold_is_of_a_lot_or_a_batch",
                condition=Q(lot__isnull=False, batch__isnull=True)
                | Q(lot__isnull=True, batch__isnull=False),
            )
        ]

    def __str__(self):
        return f"{self.lot or self.batch} held: {self.cause}"


class HoldLifted(WhileItsDeedStands):
    """The answer to one cause: it stops the lot no longer."""

    hold = models.ForeignKey(Hold, models.PROTECT, related_name="lifts")
    on = models.DateField()

    def __str__(self):
        return f"{self.hold}, lifted"


class Answered(ByDeed):
    """An owner's answer for goods that had left before it was known what was wrong."""

    movement = models.OneToOneField(Movement, models.PROTECT, related_name="answered")

    def __str__(self):
        return f"{self.movement}, answered"
