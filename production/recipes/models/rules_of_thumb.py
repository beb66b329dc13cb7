"""The workshop's own rules of thumb."""

from django.db import models

from production.chemistry.models import ReferenceRuleOfThumb, RuleWording


class RuleOfThumb(RuleWording):
    """A rule of the workshop's own, instead of a published one or beside them.

    With a ``recipe`` it was measured there, and speaks there alone.
    """

    recipe = models.ForeignKey(
        "production.Formula",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="rules_of_thumb",
        verbose_name="measured on",
    )
    instead_of = models.OneToOneField(
        ReferenceRuleOfThumb, models.PROTECT, null=True, blank=True, related_name="own"
    )
    source = models.CharField(max_length=300, default="common practice, no source")
    silent = models.BooleanField("say nothing", default=False)

    class Meta:
        ordering = ["topic", "id"]
