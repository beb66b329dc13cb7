"""Certificates, photos, logos: kept by their digest, found by what they belong to."""

from django.db import models
from django.db.models import Q
from django.urls import reverse

from production.buying.models import Purchase
from production.record.models.ink import WhileItsDeedStands
from production.stock.models.batches import Batch
from production.stock.models.lots import Lot


class Attachment(WhileItsDeedStands):
    """A file beside a lot, a batch or a purchase; its bytes lie under their digest."""

    sha256 = models.CharField(max_length=64, db_index=True)
    name = models.CharField(max_length=200)
    type = models.CharField(max_length=60)
    size = models.PositiveIntegerField()
    note = models.CharField(max_length=200, blank=True)
    lot = models.ForeignKey(
        Lot, models.PROTECT, null=True, blank=True, related_name="attachments"
    )
    batch = models.ForeignKey(
        Batch, models.PROTECT, null=True, blank=True, related_name="attachments"
    )
    purchase = models.ForeignKey(
        Purchase, models.PROTECT, null=True, blank=True, related_name="attachments"
    )

    class Meta:
        ordering = ["-id"]
        constraints = [
            models.CheckConstraint(
                name="attachment_belongs_to_one_thing",
                condition=Q(
                    lot__isnull=False, batch__isnull=True, purchase__isnull=True
                )
                | Q(lot__isnull=True, batch__isnull=False, purchase__isnull=True)
                | Q(lot__isnull=True, batch__isnull=True, purchase__isnull=False),
            )
        ]

    def __str__(self):
        return self.name

    def get_absolute_url(self):
        return reverse("attachment", args=[self.pk])
