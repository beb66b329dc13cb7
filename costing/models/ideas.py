"""What costing keeps of a product that does not exist yet: a working paper.

It says nothing of the book, so it may be changed and thrown away; no deed stands behind
it. What is worked out of it is kept nowhere.
"""

from django.db import models
from django.db.models import Q
from django.urls import reverse

from production.models import Item, ReferenceOil, Version
from production.quantities.fields import MoneyField, QuantityField
from production.record.models.workshop import Card


def term(words):
    """A fraction that may be left open, as fine as a recipe keeps it."""
    return models.DecimalField(
        words, max_digits=6, decimal_places=5, null=True, blank=True
    )


class ProductIdea(Card):
    """A product that is only thought of. Shares are fractions, amounts grams or pieces.

    ``variant_of`` is the idea that it is laid beside; ``recipe`` the filling recipe
    that was written from it.
    """

    name = models.CharField(max_length=120, unique=True)
    plain_name = True
    variant_of = models.ForeignKey(
        "self", models.SET_NULL, null=True, blank=True, related_name="variants"
    )
    recipe = models.ForeignKey(
        Version, models.PROTECT, null=True, blank=True, related_name="+"
    )
    base = models.ForeignKey(
        Item, models.PROTECT, null=True, blank=True, related_name="+"
    )
    pieces = QuantityField("pieces made together")
    superfat = term("superfat")
    koh_share = models.DecimalField(
        "potassium share of the soap", max_digits=6, decimal_places=5, default=1
    )
    koh_purity = term("purity of the potassium hydroxide")
    naoh_purity = term("purity of the sodium hydroxide")
    water_per_alkali = models.DecimalField(
        "water to 1 g of alkali", max_digits=8, decimal_places=5, null=True, blank=True
    )
    lye_strength = term("strength of the lye")
    soap_content = term("soap content")
    fill = QuantityField("soap in one piece, g", null=True, blank=True)
    fill_typed = models.CharField(max_length=60, blank=True)
    density = models.DecimalField(
        "density, g/mL", max_digits=7, decimal_places=4, null=True, blank=True
    )
    loss_cook = term("loss of the cook")
    loss_dilution = term("loss of the dilution")
    loss_finishing = term("loss of the finishing")
    loss_filling = term("loss of the filling")
    minutes_batch = QuantityField("minutes of a batch", default=0)
    minutes_piece = QuantityField("minutes of each piece", default=0)
    rate = MoneyField("rate for an hour", null=True, blank=True)
    energy = MoneyField("energy for a batch", null=True, blank=True)

    class Meta(Card.Meta):
        constraints = [
            models.CheckConstraint(
                name="an_idea_is_of_some_pieces",
                condition=Q(pieces__gt=0),
                violation_error_message="Write how many are made together, above 0.",
            )
        ]

    def get_absolute_url(self):
        return reverse("idea", args=[self.pk])


class IdeaMaterial(models.Model):
    """One material of an idea: an item, a published oil, or no more than a name."""

    class Place(models.TextChoices):
        OIL = "oil", "oil"
        FINISHING = "finishing", "joins the soap"
        PACKAGING = "packaging", "goes on each piece"
        PRICE = "price", "goes in by itself"

    class From(models.TextChoices):
        LAST = "last", "last price"
        STOCK = "stock", "average of the stock"
        QUOTE = "quote", "quote"

    idea = models.ForeignKey(ProductIdea, models.CASCADE, related_name="materials")
    position = models.PositiveSmallIntegerField()
    place = models.CharField(max_length=9, choices=Place)
    item = models.ForeignKey(
        Item, models.PROTECT, null=True, blank=True, related_name="+"
    )
    oil = models.ForeignKey(
        ReferenceOil, models.PROTECT, null=True, blank=True, related_name="+"
    )
    name = models.CharField(max_length=120)
    share = models.DecimalField(max_digits=12, decimal_places=8, null=True, blank=True)
    each = QuantityField(null=True, blank=True)
    price_from = models.CharField(max_length=6, choices=From, default=From.LAST)
    quote_amount = QuantityField(null=True, blank=True)
    quote_price = MoneyField(null=True, blank=True)
    quote_typed = models.CharField(max_length=60, blank=True)

    class Meta:
        ordering = ["idea", "position"]
        constraints = [
            models.CheckConstraint(
                name="a_quote_has_an_amount_and_a_price",
                condition=Q(quote_amount__isnull=True, quote_price__isnull=True)
                | Q(quote_amount__gt=0, quote_price__gte=0),
            )
        ]

    def __str__(self):
        return f"{self.called} in {self.idea}"

    @property
    def called(self):
        """The name of its card, of the published oil, or as it was typed."""
        return str(self.item or self.oil or self.name)
