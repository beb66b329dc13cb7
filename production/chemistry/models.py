"""Published tables, loaded from fixtures/ by migrate. Never edited: a maker's own
value stands on her item or lot."""

from django.db import models

from production.chemistry.domain.rules_of_thumb import FIGURES, TOPICS


class Published(models.Model):
    """A row of a published table with its source and how far to trust it."""

    source = models.CharField(max_length=300)
    standing = models.CharField(max_length=20)

    class Meta:
        abstract = True


class ReferenceOil(Published):
    """Published ranges of an oil, acid or wax; ``sv`` in mg KOH per g."""

    key = models.SlugField(unique=True)
    name = models.CharField(max_length=120, unique=True)
    origin = models.CharField(max_length=160, blank=True)
    kind = models.CharField(
        max_length=4, choices=[("fat", "fat"), ("acid", "acid"), ("wax", "wax")]
    )
    sv_low = models.DecimalField(max_digits=7, decimal_places=2)
    sv_high = models.DecimalField(max_digits=7, decimal_places=2)
    sv = models.DecimalField(max_digits=7, decimal_places=2)
    sv_rule = models.CharField(max_length=60)
    iodine_low = models.DecimalField(max_digits=7, decimal_places=2, null=True)
    iodine_high = models.DecimalField(max_digits=7, decimal_places=2, null=True)
    unsaponifiable_max = models.DecimalField(max_digits=7, decimal_places=4, null=True)
    relative_density_low = models.DecimalField(
        max_digits=6, decimal_places=4, null=True
    )
    relative_density_high = models.DecimalField(
        max_digits=6, decimal_places=4, null=True
    )
    density_at_c = models.DecimalField(max_digits=4, decimal_places=1, null=True)
    note = models.TextField(blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self):
        return self.name


class ReferenceAcid(Published):
    """A fatty acid, keyed by its shorthand (C18:1 has one double bond)."""

    key = models.CharField(max_length=16, unique=True)
    name = models.CharField(max_length=80)
    formula = models.CharField(max_length=20)
    double_bonds = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["key"]

    def __str__(self):
        return f"{self.name} ({self.key})"


class ReferenceComposition(Published):
    """Share of one fatty acid in one oil, % of its fatty acids."""

    oil = models.ForeignKey(ReferenceOil, models.PROTECT, related_name="acids")
    acid = models.ForeignKey(ReferenceAcid, models.PROTECT, related_name="oils")
    percent_low = models.DecimalField(max_digits=6, decimal_places=2, null=True)
    percent_high = models.DecimalField(max_digits=6, decimal_places=2, null=True)
    percent_typical = models.DecimalField(max_digits=6, decimal_places=2, null=True)
    typical_source = models.CharField(max_length=300, blank=True)
    typical_standing = models.CharField(max_length=20, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                name="one_row_for_each_acid_of_an_oil", fields=["oil", "acid"]
            )
        ]

    def __str__(self):
        return f"{self.acid} in {self.oil}"


class InciName(Published):
    """How a material is called on a label, and its potassium and sodium soap."""

    key = models.SlugField(unique=True)
    material = models.CharField(max_length=160)
    inci = models.CharField(max_length=160)
    potassium_soap = models.CharField(max_length=160, blank=True)
    sodium_soap = models.CharField(max_length=160, blank=True)
    us_name = models.CharField(max_length=200, blank=True)
    cas = models.CharField(max_length=20, blank=True)
    role = models.CharField(max_length=20, blank=True)
    us_standing = models.CharField(max_length=20, blank=True)
    note = models.TextField(blank=True)

    class Meta:
        ordering = ["material"]

    def __str__(self):
        return f"{self.material}: {self.inci}"


class ReferenceSalt(Published):
    """The formula of a published material that brings potassium or sodium with it."""

    material = models.OneToOneField(InciName, models.PROTECT, related_name="salt")
    formula = models.CharField(max_length=40)

    def __str__(self):
        return f"{self.material}: {self.formula}"


class RuleWording(models.Model):
    """What a figure of a soap lets one expect: from ``low`` to below ``high``.

    Shares are fractions; the iodine value is g of iodine per 100 g.
    """

    topic = models.CharField(max_length=20, choices=[(t, t) for t in TOPICS])
    figure = models.CharField(max_length=20, choices=list(FIGURES.items()))
    low = models.DecimalField(
        "from", max_digits=9, decimal_places=5, null=True, blank=True
    )
    high = models.DecimalField(
        "to below", max_digits=9, decimal_places=5, null=True, blank=True
    )
    says = models.CharField(max_length=300)

    class Meta:
        abstract = True

    def __str__(self):
        return self.says


class ReferenceRuleOfThumb(RuleWording, Published):
    """A rule as published; the workshop's own takes its place, this row stays.

    Of the rules of a topic that hold, the one of the lowest ``rank`` speaks.
    """

    key = models.SlugField(unique=True)
    rank = models.PositiveSmallIntegerField(default=99)

    class Meta:
        ordering = ["rank", "key"]


class ReferenceEdition(models.Model):
    """Which edition of a fixture the table was loaded from."""

    name = models.CharField(max_length=60, unique=True)
    digest = models.CharField(max_length=64)

    def __str__(self):
        return self.name
