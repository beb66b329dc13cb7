"""That the book was restored from a backup, and what was said of the time since."""

from django.db import models
from django.db.models import Exists, OuterRef
from django.urls import reverse

from production.record.models.ink import ByDeed, ByDeedQuerySet, WhileItsDeedStands


class RestoredQuerySet(ByDeedQuerySet):
    def unanswered(self):
        """Of which nobody has said what happened since the backup."""
        return self.exclude(Exists(SinceBackup.objects.filter(restored=OuterRef("pk"))))


class Restored(ByDeed):
    """The book stands as of ``taken_at``; what was written later is not in it.

    ``last`` is how far each series of codes and numbers had come by then.
    """

    taken_at = models.DateTimeField()
    restored_at = models.DateTimeField()
    last = models.JSONField(default=dict)

    objects = RestoredQuerySet.as_manager()

    class Meta:
        ordering = ["id"]

    def get_absolute_url(self):
        return reverse("restored")

    def __str__(self):
        return f"restored as of {self.taken_at:%Y-%m-%d %H:%M}"


class SinceBackup(WhileItsDeedStands):
    """An owner's answer: ``codes`` that were read off bottles and sheets, one a line.

    ``last`` is how far each series goes on from; ``to_count`` the keys of lots of which
    something was sold or used.
    """

    restored = models.ForeignKey(Restored, models.PROTECT, related_name="answers")
    codes = models.TextField(blank=True)
    last = models.JSONField(default=dict)
    to_count = models.JSONField(default=list)

    class Meta:
        ordering = ["id"]

    @property
    def read_off(self):
        return ", ".join(self.codes.splitlines())

    def __str__(self):
        return f"{self.restored}, answered"
