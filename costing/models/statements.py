"""What costing keeps: the statement that was frozen when a month was closed."""

from django.db import models

from production.record.models.ink import ByDeed


class Statement(ByDeed):
    """The statement of value of one closing, as it was printed then, byte by byte.

    ``text`` is canonical and ``sha256`` its digest; what is learnt later never changes
    it, and stands in the first open month instead.
    """

    closing = models.OneToOneField(
        "production.Closing", models.PROTECT, related_name="+"
    )
    text = models.TextField()
    sha256 = models.CharField(max_length=64)

    class Meta:
        ordering = ["closing"]

    def __str__(self):
        return f"statement of {self.closing.through}"
