"""What a batch should contain. A version never changes: write a new one."""

from decimal import Decimal

from django.db import models
from django.db.models import Q
from django.urls import reverse

from production.models.ink import ByDeed, WrittenInInk
from production.models.ledger import Item


class Stage(models.TextChoices):
    COOK = "cook", "cook"
    PREPARATION = "preparation", "preparation"
    DILUTION = "dilution", "dilution"
    FINISHING = "finishing", "finishing"
    FILLING = "filling", "filling"
    PACKING = "packing", "packing"
    REWORK = "rework", "rework"


# What a version says beside its lines; its digest covers them in this order.
TERMS = (
    "superfat",
    "koh_share",
    "water_per_alkali",
    "target_soap",
    "loss",
    "band",
    "release",
    "rest_days",
    "shelf_days",
    "steps",
)


class Formula(models.Model):
    name = models.CharField(max_length=120, unique=True)
    stage = models.CharField(max_length=11, choices=Stage)
    makes = models.ForeignKey(Item, models.PROTECT, related_name="formulas")

    class Meta:
        ordering = ["name"]

    def __str__(self):
        return self.name

    def get_absolute_url(self):
        return reverse("formula", args=[self.pk])


class Version(ByDeed):
    """One wording of a formula. Shares are fractions, not percent.

    A cook: lines are shares of the oils, plus superfat and alkali. Any other
    stage: lines are shares of what is made, water takes the rest if it is left open.
    """

    class Release(models.TextChoices):
        CHECK = "check", "by a passed check"
        HAND = "hand", "by hand"
        MAKING = "making", "on making"

    formula = models.ForeignKey(Formula, models.PROTECT, related_name="versions")
    number = models.PositiveSmallIntegerField()
    superfat = models.DecimalField(
        max_digits=6, decimal_places=5, null=True, blank=True
    )
    koh_share = models.DecimalField(max_digits=6, decimal_places=5, default=1)
    water_per_alkali = models.DecimalField(
        max_digits=8, decimal_places=5, null=True, blank=True
    )
    target_soap = models.DecimalField(
        max_digits=6, decimal_places=5, null=True, blank=True
    )
    loss = models.DecimalField(
        "expected loss, share of what goes in",
        max_digits=6,
        decimal_places=5,
        null=True,
        blank=True,
    )
    band = models.DecimalField(
        "weighing band, share of what goes in",
        max_digits=6,
        decimal_places=5,
        default=Decimal("0.005"),
    )
    release = models.CharField(max_length=6, choices=Release, default=Release.HAND)
    rest_days = models.PositiveSmallIntegerField(default=0)
    shelf_days = models.PositiveSmallIntegerField(null=True, blank=True)
    steps = models.TextField(blank=True)
    digest = models.CharField(max_length=64)

    class Meta:
        ordering = ["formula", "number"]
        constraints = [
            models.UniqueConstraint(
                name="one_version_of_each_number", fields=["formula", "number"]
            ),
            models.CheckConstraint(
                name="superfat_is_a_fraction",
                condition=Q(superfat__isnull=True) | Q(superfat__gt=-1, superfat__lt=1),
            ),
        ]

    def __str__(self):
        return f"{self.formula} v{self.number}"

    def get_absolute_url(self):
        return reverse("version", args=[self.pk])


class VersionLine(WrittenInInk):
    """An item and its share: of the oils in a cook, else of what is made."""

    version = models.ForeignKey(Version, models.PROTECT, related_name="lines")
    position = models.PositiveSmallIntegerField()
    item = models.ForeignKey(Item, models.PROTECT, related_name="+")
    share = models.DecimalField(max_digits=12, decimal_places=8, null=True, blank=True)
    each = models.DecimalField(
        "for each piece made", max_digits=12, decimal_places=3, null=True, blank=True
    )

    class Meta:
        ordering = ["version", "position"]

    def __str__(self):
        return f"{self.item} in {self.version}"
