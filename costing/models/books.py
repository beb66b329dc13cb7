"""The terms of the books: how they are kept, on a card that an owner changes freely."""

from django.db import models

from production.workshop.models.items import Item


class Formula(models.TextChoices):
    """How stock of one kind is valued in the accountant's books (IAS 2.23-27)."""

    LOTS = "lots", "by the lots that were really taken"
    FIFO = "fifo", "first in, first out"
    AVERAGE = "average", "moving average"


class BooksTerms(models.Model):
    """One row: who owns the workshop, and one formula for each kind of item.

    ``sole_trader``: own use is drawings and no loss. ``selling_share`` is what selling
    costs of a price, a fraction: it is taken off for net realisable value.
    """

    FORMULAS = {
        Item.Kind.MATERIAL: "material",
        Item.Kind.PACKAGING: "packaging",
        Item.Kind.MADE: "made",
    }

    sole_trader = models.BooleanField("a sole trader owns the workshop", default=True)
    material = models.CharField(
        "materials", max_length=7, choices=Formula, default="lots"
    )
    packaging = models.CharField(
        "packaging", max_length=7, choices=Formula, default="lots"
    )
    made = models.CharField(
        "what is made here", max_length=7, choices=Formula, default="lots"
    )
    selling_share = models.DecimalField(
        "cost of selling, share of the price",
        max_digits=6,
        decimal_places=5,
        default=0,
    )

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="books_terms_are_one_row", condition=models.Q(pk=1)
            ),
            models.CheckConstraint(
                name="selling_costs_less_than_the_price",
                condition=models.Q(selling_share__gte=0, selling_share__lt=1),
            ),
        ]

    def __str__(self):
        return "terms of the books"

    def save(self, *args, **kwargs):
        self.pk = 1
        super().save(*args, **kwargs)

    def formula_of(self, kind: str) -> str:
        """The formula of one kind of item."""
        return getattr(self, self.FORMULAS[Item.Kind(kind)])

    @property
    def by_lots(self) -> bool:
        """Whether every kind is valued by the lots that were really taken."""
        used = {getattr(self, name) for name in self.FORMULAS.values()}
        return used == {Formula.LOTS}
