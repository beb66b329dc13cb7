"""What was read, stated or promised of a lot, and what a supplier says is in it."""

from django.db import models
from django.db.models import F, OuterRef, Q, Subquery

from production.record.models.ink import (
    ByDeed,
    ByDeedQuerySet,
    StandingManager,
    WhileItsDeedStands,
)
from production.stock.models.lots import Lot


class Measurement(WhileItsDeedStands):
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

    # Mass fractions, which people write and read in percent.
    SHARES = frozenset(
        {
            What.PURITY,
            What.CARBONATE,
            What.UNSAPONIFIABLE,
            What.SOAP_CONTENT,
            What.FREE_ALKALI,
        }
    )

    class Basis(models.TextChoices):
        STATED = "stated"
        MINIMUM = "minimum"
        MEASURED = "measured"

    # The best known counts; a floor ("min. 85 %") never counts as the value.
    VALUES = (Basis.MEASURED, Basis.STATED)
    BEST_FIRST = (*VALUES, Basis.MINIMUM)

    class Method(models.TextChoices):
        DROP_TEST = "drop test", "drop test in alcohol"
        TITRATION = "titration", "titration of free caustic alkali"
        LABORATORY = "laboratory", "laboratory's report"
        SUPPLIER = "supplier", "supplier's paper"
        BEFORE = "before", "tested before this book"

    class Sampled(models.TextChoices):
        AFTER = "after", "after all of it had gone in"
        BEFORE = "before", "before something went in"

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
    method = models.CharField(max_length=10, choices=Method, blank=True)
    where = models.CharField(
        "where", max_length=120, blank=True, help_text="Spots of the pot, or the paper."
    )
    sampled = models.CharField(max_length=6, choices=Sampled, blank=True)
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


class CheckTakenBack(ByDeed):
    """A check that was noted by mistake; ``belongs_to`` is the lot it was really of."""

    measurement = models.OneToOneField(
        Measurement, models.PROTECT, related_name="taken_back"
    )
    belongs_to = models.ForeignKey(
        Lot, models.PROTECT, null=True, blank=True, related_name="checks_found"
    )

    def __str__(self):
        return f"{self.measurement}, taken back"


class FragranceDocument(WhileItsDeedStands):
    """What the supplier's papers say of one lot of fragrance; the latest one counts.

    ``vanillin`` and ``most`` are mass fractions: of the fragrance, and of a finished
    product that is rinsed off.
    """

    lot = models.ForeignKey(Lot, models.PROTECT, related_name="documents")
    edition = models.CharField("version of the document", max_length=80)
    dated = models.DateField(null=True, blank=True)
    flash_point = models.DecimalField(
        "flash point, \N{DEGREE SIGN}C",
        max_digits=5,
        decimal_places=1,
        null=True,
        blank=True,
    )
    vanillin = models.DecimalField(
        max_digits=9, decimal_places=8, null=True, blank=True
    )
    most = models.DecimalField(
        "at most, in what is rinsed off",
        max_digits=9,
        decimal_places=8,
        null=True,
        blank=True,
    )
    no_allergens = models.BooleanField(
        "holds none of the allergens to be named", default=False
    )

    class Meta:
        ordering = ["-id"]

    def __str__(self):
        return f"{self.edition} of {self.lot}"


class ConstituentQuerySet(ByDeedQuerySet):
    def in_force(self):
        """Those of the latest document of each lot, or of its first papers."""
        latest = FragranceDocument.objects.filter(lot=OuterRef("lot")).order_by("-id")
        newest = Subquery(latest.values("pk")[:1])
        return self.annotate(newest=newest).filter(
            Q(document=F("newest")) | Q(newest__isnull=True, document__isnull=True)
        )


class Constituent(WhileItsDeedStands):
    """What a supplier's document says a fragrance lot holds, as a mass fraction."""

    lot = models.ForeignKey(Lot, models.PROTECT, related_name="constituents")
    document = models.ForeignKey(
        FragranceDocument,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="constituents",
    )
    inci = models.CharField(max_length=160)
    share = models.DecimalField(max_digits=9, decimal_places=8)

    objects = StandingManager.from_queryset(ConstituentQuerySet)()

    class Meta:
        ordering = ["-share", "inci"]

    def __str__(self):
        return f"{self.inci} in {self.lot}"
