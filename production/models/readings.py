"""What was read, stated or promised of a lot, and what a supplier says is in it."""

from django.db import models
from django.db.models import Q

from production.models.ink import ByDeed
from production.models.ledger import Lot


class Measurement(ByDeed):
    """A value that was read, stated or promised, of a lot or during a batch.

    Shares (purity, carbonate, unsaponifiable, soap content, free alkali) are mass
    fractions; saponification and acid values are mg KOH per g.
    """

    class What(models.TextChoices):
        PURITY = "purity"
        CARBONATE = "carbonate"
        SAPONIFICATION_VALUE = "saponification value"
        ACID_VALUE = "acid value"
        UNSAPONIFIABLE = "unsaponifiable"
        SOAP_CONTENT = "soap content"
        NEUTRALITY = "neutrality"
        FREE_ALKALI = "free alkali"
        CLARITY = "clarity"
        PH = "pH"
        DENSITY = "density"
        THICKNESS = "thickness"
        TEMPERATURE = "temperature"
        MASS = "mass"
        OTHER = "other"

    class Basis(models.TextChoices):
        STATED = "stated"
        MINIMUM = "minimum"
        MEASURED = "measured"

    lot = models.ForeignKey(
        Lot, models.PROTECT, null=True, blank=True, related_name="measurements"
    )
    batch = models.ForeignKey(
        "production.Batch",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="measurements",
    )
    what = models.CharField(max_length=24, choices=What)
    basis = models.CharField(max_length=8, choices=Basis, default=Basis.MEASURED)
    value = models.DecimalField(max_digits=14, decimal_places=6, null=True, blank=True)
    passed = models.BooleanField(null=True, blank=True)
    note = models.CharField(max_length=300, blank=True)
    on = models.DateField()

    class Meta:
        ordering = ["on", "id"]
        constraints = [
            models.CheckConstraint(
                name="measurement_is_of_a_lot_or_a_batch",
                condition=Q(lot__isnull=False) | Q(batch__isnull=False),
            ),
            models.CheckConstraint(
                name="measurement_says_something",
                condition=Q(value__isnull=False)
                | Q(passed__isnull=False)
                | ~Q(note=""),
            ),
        ]

    def __str__(self):
        return f"{self.what} of {self.lot or self.batch}"


class Constituent(ByDeed):
    """What a supplier's document says a fragrance lot holds, as a mass fraction."""

    lot = models.ForeignKey(Lot, models.PROTECT, related_name="constituents")
    inci = models.CharField(max_length=160)
    share = models.DecimalField(max_digits=9, decimal_places=8)

    class Meta:
        ordering = ["-share", "inci"]

    def __str__(self):
        return f"{self.inci} in {self.lot}"
