"""What a batch should contain. A version never changes: write a new one."""

from django.core.validators import MaxValueValidator
from django.db import models
from django.db.models import F, Q
from django.urls import reverse

from production.record.models.ink import ByDeed, WrittenInInk
from production.record.models.workshop import Card
from production.stock.domain.balance import BAND
from production.stock.models.batches import Stage
from production.stock.models.readings import Measurement
from production.workshop.models.items import Item

# What a version says beside its lines; its digest covers them in this order.
TERMS = (
    "superfat",
    "koh_share",
    "lye_excess",
    "water_per_alkali",
    "lye_strength",
    "target_soap",
    "loss",
    "band",
    "release",
    "rest_days",
    "shelf_days",
    "steps",
)


MOST_REST, MOST_SHELF = 3650, 36500  # days: ten years, a hundred


class Formula(Card):
    name = models.CharField(max_length=120, unique=True)
    stage = models.CharField(max_length=11, choices=Stage)
    makes = models.ForeignKey(Item, models.PROTECT, related_name="formulas")


class Version(ByDeed):
    """One wording of a formula. Shares are fractions, not percent.

    A cook: lines are shares of the oils, plus superfat and alkali. Any other
    stage: lines are shares of what is made, water takes the rest if it is left open.
    ``lye_excess`` is the route by a declared excess: the paste stays lye-heavy until
    it is diluted and neutralised, and is checked then. ``lye_strength`` is pure alkali
    over the whole lye.
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
    lye_excess = models.BooleanField(
        "lye excess, neutralised after dilution", default=False
    )
    koh_share = models.DecimalField(max_digits=6, decimal_places=5, default=1)
    water_per_alkali = models.DecimalField(
        max_digits=8, decimal_places=5, null=True, blank=True
    )
    lye_strength = models.DecimalField(
        max_digits=6, decimal_places=5, null=True, blank=True
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
        default=BAND,
    )
    release = models.CharField(max_length=6, choices=Release, default=Release.HAND)
    rest_days = models.PositiveSmallIntegerField(
        default=0, validators=[MaxValueValidator(MOST_REST)]
    )
    shelf_days = models.PositiveIntegerField(
        null=True, blank=True, validators=[MaxValueValidator(MOST_SHELF)]
    )
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
            models.CheckConstraint(
                name="something_is_left_after_the_loss",
                condition=Q(loss__isnull=True) | Q(loss__gte=0, loss__lt=1),
                violation_error_message="The expected loss is at least 0 % and below "
                "100 %.",
            ),
            models.CheckConstraint(
                name="superfat_below_zero_is_declared",
                condition=Q(lye_excess=False, superfat__isnull=True)
                | Q(lye_excess=False, superfat__gte=0)
                | Q(lye_excess=True, superfat__isnull=False, superfat__lt=0),
                violation_error_message="Declare a superfat below zero as lye excess, "
                "and only that: the paste then burns until it is neutralised.",
            ),
            models.CheckConstraint(
                name="the_lye_water_is_set_once",
                condition=Q(water_per_alkali__isnull=True)
                | Q(lye_strength__isnull=True),
                violation_error_message="Set the lye water once: by grams to 1 g of "
                "alkali, or by the strength of the lye.",
            ),
        ]

    def __str__(self):
        return f"{self.formula} v{self.number}"

    def get_absolute_url(self):
        return reverse("version", args=[self.pk])


class VersionLine(WrittenInInk):
    """An item and its share: of the oils in a cook, else of what is made.

    In a cook an acid in the lye gets alkali of its own; another liquid in the lye takes
    the place of as much lye water. What is added after the cook meets finished soap.
    """

    class GoesIn(models.TextChoices):
        AT_ONCE = "", "with the rest"
        LYE = "lye", "in the lye"
        LATE = "late", "after the cook"

    version = models.ForeignKey(Version, models.PROTECT, related_name="lines")
    position = models.PositiveSmallIntegerField()
    item = models.ForeignKey(Item, models.PROTECT, related_name="+")
    share = models.DecimalField(max_digits=12, decimal_places=8, null=True, blank=True)
    each = models.DecimalField(
        "for each piece made", max_digits=12, decimal_places=3, null=True, blank=True
    )
    goes_in = models.CharField(max_length=4, choices=GoesIn, blank=True)

    class Meta:
        ordering = ["version", "position"]

    def __str__(self):
        return f"{self.item} in {self.version}"


class VersionCheck(WrittenInInk):
    """A reading that a version asks for, and between which limits it passes."""

    version = models.ForeignKey(Version, models.PROTECT, related_name="checks")
    position = models.PositiveSmallIntegerField()
    what = models.CharField(max_length=24, choices=Measurement.What)
    low = models.DecimalField(max_digits=14, decimal_places=6, null=True, blank=True)
    high = models.DecimalField(max_digits=14, decimal_places=6, null=True, blank=True)
    how = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["version", "position"]
        constraints = [
            models.CheckConstraint(
                name="limits_of_a_check_stand_in_order",
                condition=Q(low__isnull=True)
                | Q(high__isnull=True)
                | Q(low__lte=F("high")),
                violation_error_message="The lower limit is above the upper one.",
            )
        ]

    def __str__(self):
        return f"{self.what} in {self.version}"
