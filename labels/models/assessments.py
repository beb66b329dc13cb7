"""What assessors and makers said of a product: written once, superseded by the next."""

from django.db import models

from production.models import Formula, Item
from production.record.models.ink import WhileItsDeedStands

RULES = 2


class Assessment(WhileItsDeedStands):
    """A safety assessor's statement on one product under one set of rules.

    Of those that stand the latest by its own date counts, then the last written.
    ``last_version`` None is open upwards. ``pack`` is the container that was looked
    at.
    """

    item = models.ForeignKey(Item, models.PROTECT, related_name="assessments")
    rules = models.CharField("label rules", max_length=RULES)
    reference = models.CharField(max_length=80)
    assessor = models.CharField("assessor's name", max_length=120)
    assessed_on = models.DateField("dated")
    holds_until = models.DateField("holds until", null=True, blank=True)
    pack = models.ForeignKey(
        Item, models.PROTECT, null=True, blank=True, related_name="+"
    )
    notification = models.CharField("notification number", max_length=60, blank=True)
    notified_on = models.DateField("notified on", null=True, blank=True)
    responsible = models.TextField("responsible person", max_length=300, blank=True)

    class Meta:
        ordering = ["-id"]

    def __str__(self):
        return self.reference


class AssessedRecipe(WhileItsDeedStands):
    """A recipe that an assessment covers, from which version to which."""

    assessment = models.ForeignKey(Assessment, models.PROTECT, related_name="recipes")
    formula = models.ForeignKey(Formula, models.PROTECT, related_name="+")
    first_version = models.PositiveSmallIntegerField(null=True, blank=True)
    last_version = models.PositiveSmallIntegerField(null=True, blank=True)

    class Meta:
        ordering = ["id"]

    def __str__(self):
        return f"{self.formula} in {self.assessment}"


class AssessedFragrance(WhileItsDeedStands):
    """A fragrance that an assessment covers; ``most`` is a fraction of what is sold."""

    assessment = models.ForeignKey(
        Assessment, models.PROTECT, related_name="fragrances"
    )
    item = models.ForeignKey(Item, models.PROTECT, related_name="+")
    most = models.DecimalField("at most", max_digits=9, decimal_places=8)

    class Meta:
        ordering = ["id"]

    def __str__(self):
        return f"{self.item} in {self.assessment}"


class KindDecision(WhileItsDeedStands):
    """What the maker decided that a product is under one set of rules.

    ``over`` is what our reading leant on then: where it leans on something else now,
    the decision counts no more. The last one that stands counts.
    """

    item = models.ForeignKey(Item, models.PROTECT, related_name="kind_decisions")
    rules = models.CharField("label rules", max_length=RULES)
    kind = models.CharField(max_length=60)
    why = models.CharField("what it leans on", max_length=300, blank=True)
    over = models.TextField(blank=True)

    class Meta:
        ordering = ["-id"]

    def __str__(self):
        return f"{self.item} is {self.kind}"
