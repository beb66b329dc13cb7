"""Labels that went out: ink, each with the words and the file that were printed."""

from django.db import models
from django.db.models import F, OuterRef, Q, Subquery, Sum, Value
from django.db.models.functions import Coalesce
from django.urls import reverse

from production.models import Hold, Item, Lot
from production.record.models.ink import (
    ByDeed,
    ByDeedQuerySet,
    WhileItsDeedStands,
)


class IssuedQuerySet(ByDeedQuerySet):
    def reconciled(self):
        """Add ``all_printed``, ``used``, ``spoiled`` and ``left`` of each."""
        again = (
            Reprint.objects.filter(issued=OuterRef("pk"))
            .order_by()
            .values("issued")
            .annotate(total=Sum("printed"))
        )
        counts = LabelCount.objects.filter(issued=OuterRef("pk")).order_by("-id")
        return self.annotate(
            all_printed=F("printed")
            + Coalesce(Subquery(again.values("total")), Value(0)),
            used=Coalesce(Subquery(counts.values("used")[:1]), Value(0)),
            spoiled=Coalesce(Subquery(counts.values("spoiled")[:1]), Value(0)),
        ).annotate(left=F("all_printed") - F("used") - F("spoiled"))

    def out(self):
        """Those that nobody has taken back."""
        return self.filter(withdrawn__isnull=True)


class IssuedLabel(ByDeed):
    """So many labels of one lot, as they were printed.

    ``inputs`` is the canonical JSON of all facts, words and lines, ``words`` the digest
    of what is printed, ``edition`` that of the rules it was made under. The file lies
    under ``sha256``. Without a lot the batch number is written in by hand.
    """

    # Nameless from the other side: a filling that was typed wrongly is taken back all
    # the same, whatever was printed for it.
    lot = models.ForeignKey(Lot, models.PROTECT, null=True, related_name="+")
    item = models.ForeignKey(Item, models.PROTECT, related_name="+")
    rules = models.CharField(max_length=8)
    language = models.CharField(max_length=40, blank=True)
    edition = models.CharField(max_length=64)
    inputs = models.TextField()
    words = models.CharField(max_length=64)
    sha256 = models.CharField(max_length=64, db_index=True)
    size = models.PositiveIntegerField()
    printed = models.PositiveIntegerField()

    objects = IssuedQuerySet.as_manager()

    class Meta:
        ordering = ["-id"]
        constraints = [
            models.CheckConstraint(
                name="an_issue_prints_at_least_one", condition=Q(printed__gte=1)
            )
        ]

    def __str__(self):
        return f"label {self.pk} of {self.lot or self.item}"

    def get_absolute_url(self):
        return reverse("label-issued", args=[self.pk])


class Reprint(ByDeed):
    """More labels from the same file."""

    issued = models.ForeignKey(IssuedLabel, models.PROTECT, related_name="reprints")
    printed = models.PositiveIntegerField()

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                name="a_reprint_is_of_at_least_one", condition=Q(printed__gte=1)
            )
        ]

    def __str__(self):
        return f"{self.printed} more of {self.issued}"


class LabelCount(ByDeed):
    """How many were stuck on and how many spoiled until now; the last count holds."""

    issued = models.ForeignKey(IssuedLabel, models.PROTECT, related_name="counts")
    used = models.PositiveIntegerField()
    spoiled = models.PositiveIntegerField()

    class Meta:
        ordering = ["id"]

    def __str__(self):
        return f"{self.used} used, {self.spoiled} spoiled of {self.issued}"


class LabelWithdrawn(ByDeed):
    """A label that was issued by mistake: nothing of it is stuck on any more."""

    issued = models.OneToOneField(IssuedLabel, models.PROTECT, related_name="withdrawn")

    def __str__(self):
        return f"{self.issued}, taken back"


class TextApproved(WhileItsDeedStands):
    """An owner's word that this text may go onto a lot that is held for its papers.

    ``words`` is the digest of the text, ``text`` what it said.
    """

    lot = models.ForeignKey(Lot, models.PROTECT, related_name="+")
    rules = models.CharField(max_length=8)
    words = models.CharField(max_length=64)
    text = models.TextField()

    class Meta:
        ordering = ["id"]

    def __str__(self):
        return f"text of {self.lot}, approved"


class CauseApproved(WhileItsDeedStands):
    """A cause of a hold that an owner calls one of the label or the papers."""

    approved = models.ForeignKey(TextApproved, models.PROTECT, related_name="causes")
    hold = models.ForeignKey(Hold, models.PROTECT, related_name="+")

    def __str__(self):
        return f"{self.hold}, answered by its text"
