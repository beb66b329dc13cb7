"""Materials and products."""

from django.db import models
from django.db.models import Q

from production.chemistry.domain.alkali_names import strong_alkali
from production.chemistry.domain.constants import ACID_KINDS, ALKALIS
from production.chemistry.models import InciName, ReferenceOil
from production.quantities.fields import MoneyField, QuantityField
from production.record.models.workshop import Card


class Item(Card):
    """Anything a lot can be of: a material, packaging, or something made here."""

    class Kind(models.TextChoices):
        MATERIAL = "material", "material"
        PACKAGING = "packaging", "packaging"
        MADE = "made", "made here"

    class Category(models.TextChoices):
        UNKNOWN = "", "not said"
        OIL = "oil", "oil or fatty acid"
        ALKALI = "alkali", "alkali"
        WATER = "water", "water"
        ADDITIVE = "additive", "additive"
        SALT = "salt", "salt"
        ACID = "acid", "acid"
        COLOURANT = "colourant", "colourant"
        THICKENER = "thickener", "thickener"
        PRESERVATIVE = "preservative", "preservative"
        CHELATOR = "chelator", "chelator"
        ANTIOXIDANT = "antioxidant", "antioxidant"
        FRAGRANCE = "fragrance", "fragrance"
        SOAP = "soap", "soap or soap paste"

    ADDITIVES = frozenset(
        {
            Category.SALT,
            Category.ACID,
            Category.COLOURANT,
            Category.THICKENER,
            Category.PRESERVATIVE,
            Category.CHELATOR,
            Category.ANTIOXIDANT,
        }
    )

    class Serves(models.TextChoices):
        UNSAID = "", "not said"
        CONTAINER = "container", "container"
        CLOSURE = "closure", "closure"
        LABEL = "label", "label"
        BOX = "box", "outer box"
        OTHER = "other", "other packaging"

    class Unit(models.TextChoices):
        GRAM = "g", "g"
        PIECE = "piece", "piece"

    name = models.CharField(max_length=120, unique=True)
    kind = models.CharField(max_length=9, choices=Kind, default=Kind.MATERIAL)
    category = models.CharField(max_length=12, choices=Category, blank=True)
    serves_as = models.CharField("serves as", max_length=9, choices=Serves, blank=True)
    unit = models.CharField(max_length=5, choices=Unit, default=Unit.GRAM)
    density = models.DecimalField(
        "density, g/mL", max_digits=7, decimal_places=4, null=True, blank=True
    )
    alkali = models.CharField(
        max_length=4, choices=[(kind, kind) for kind in ALKALIS], blank=True
    )
    acid = models.CharField(
        max_length=20,
        blank=True,
        choices=[(kind, kind) for kind in ACID_KINDS],
    )
    oil = models.ForeignKey(
        ReferenceOil,
        models.PROTECT,
        null=True,
        blank=True,
        help_text="The published oil whose saponification value counts "
        "until a lot's own certificate says otherwise.",
    )
    name_on_label = models.ForeignKey(
        InciName, models.PROTECT, null=True, blank=True, verbose_name="label name"
    )
    own_inci = models.CharField("own label name", max_length=160, blank=True)
    own_potassium_soap = models.CharField(
        "own name of its potassium soap", max_length=160, blank=True
    )
    own_sodium_soap = models.CharField(
        "own name of its sodium soap", max_length=160, blank=True
    )
    most = models.DecimalField(
        "at most, share of what is made",
        max_digits=6,
        decimal_places=5,
        null=True,
        blank=True,
        help_text="As its supplier or the law says; a recipe with more is told so.",
    )
    ph_low = models.DecimalField(
        "works from pH", max_digits=4, decimal_places=2, null=True, blank=True
    )
    ph_high = models.DecimalField(
        "works up to pH", max_digits=4, decimal_places=2, null=True, blank=True
    )
    needs_check = models.BooleanField("wait for a check on arrival", default=False)
    on_tap = models.BooleanField(
        "on tap", default=False, help_text="Received and used in one entry, like water."
    )
    tap_price = MoneyField("price of 1,000 g on tap", null=True, blank=True)
    low_at = QuantityField(
        "short below",
        null=True,
        blank=True,
        help_text="The start page says so when less than this is released.",
    )

    class Meta(Card.Meta):
        constraints = [
            models.CheckConstraint(
                name="only_packaging_serves_as_a_part_of_it",
                condition=Q(serves_as="") | Q(kind="packaging"),
                violation_error_message="Only packaging serves as a container, a "
                "closure, a label or a box: choose the kind packaging, or leave it "
                "not said.",
            )
        ]

    @property
    def component(self):
        """The cost component that a bought lot of this item opens as."""
        if self.kind == self.Kind.PACKAGING:
            return "packaging"
        if self.category in self.ADDITIVES:
            return "additive"
        if self.category == self.Category.SOAP:
            return "material"
        return self.category or "material"

    @property
    def is_alkali(self):
        """A strong alkali as such: it burns, and saponifies.

        Where nobody has said what it is, its own names say it.
        """
        if self.category:
            return self.category == self.Category.ALKALI or bool(self.alkali)
        return bool(self.alkali or self.named_alkali(self.own_inci))

    def named_alkali(self, *names):
        """The strong alkali that its name, or one of these, speaks of, or None."""
        made = self.kind == self.Kind.MADE
        return strong_alkali(self.name, *names, made=made)


class MixturePart(models.Model):
    """One name of an item that is several things; ``share`` is a mass fraction."""

    item = models.ForeignKey(Item, models.PROTECT, related_name="mixture")
    inci = models.CharField("label name", max_length=160)
    share = models.DecimalField(max_digits=9, decimal_places=8)

    class Meta:
        ordering = ["-share", "inci"]
        constraints = [
            models.UniqueConstraint(
                name="a_mixture_names_a_part_once", fields=["item", "inci"]
            ),
            models.CheckConstraint(
                name="a_part_of_a_mixture_is_above_zero_and_below_the_whole",
                condition=Q(share__gt=0, share__lt=1),
            ),
        ]

    def __str__(self):
        return f"{self.inci} in {self.item}"
