"""Values as they are kept: what each lot cost, where it went, what the book is worth.

No ink. Derived from the entries, and re-worked in every deed that touches a value;
``audit`` compares, ``remake_values`` makes all of it anew. Parts are whole nano by
component. A sum of nano is kept as two whole numbers, ``money`` (of the currency) and
``nano`` (what is above it), since 64 bits hold no more than 9.2e18 and SQL adds both
up exactly.
"""

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from django.db import models
from django.db.models import F, Q, Sum

from costing.domain.rollup import NANO
from production.quantities.fields import QuantityField


def parts_field() -> models.JSONField:
    return models.JSONField(default=dict)


class KeptLot(models.Model):
    """One lot: what went into it, what it started with, what is left, at what rate.

    ``began`` is the day on which it came or was made, None where that was taken back;
    ``settled`` the last day on which anything went into its making, ``ended`` that on
    which it was emptied. ``last`` is the day of its last entry. ``unknown`` is the day
    since which a price of its own is missing; ``missing`` has the keys of all lots
    whose price it waits for. ``level`` is above that of everything in it.
    """

    lot = models.OneToOneField(
        "production.Lot", models.PROTECT, primary_key=True, related_name="+"
    )
    level = models.PositiveIntegerField(default=0)
    began = models.DateField(null=True)
    settled = models.DateField(null=True)
    last = models.DateField(null=True)
    ended = models.DateField(null=True)
    unknown = models.DateField(null=True)
    tried = models.BooleanField(default=False)
    accepted = models.DateField(null=True)
    started = QuantityField()
    total = parts_field()
    start = parts_field()
    abnormal = parts_field()
    left = parts_field()
    amount_left = QuantityField()
    rate = parts_field()
    rate_amount = QuantityField()
    last_parts = parts_field()
    last_amount = QuantityField()
    reweighed = models.BooleanField(default=False)
    missing = models.JSONField(default=list)

    class Meta:
        ordering = ["lot_id"]
        indexes = [
            models.Index(fields=["ended", "began"]),
            models.Index(
                name="kept_lot_that_grew_later",
                fields=["began", "settled"],
                condition=Q(settled__gt=F("began")),
            ),
            models.Index(
                name="kept_lot_of_unknown_cost",
                fields=["unknown"],
                condition=Q(unknown__isnull=False),
            ),
        ]

    def __str__(self):
        return f"what {self.lot_id} is worth"

    @property
    def trial(self):
        """Whether it is one now."""
        return self.tried and self.accepted is None

    @property
    def stock(self):
        """What is left of it as stock: nothing of a trial that was not accepted."""
        return {} if self.trial else self.left

    @property
    def unit_cost(self):
        """Currency per gram or piece; None while a price is missing or none is made."""
        if self.missing or not self.rate_amount:
            return None
        return Fraction(sum(self.rate.values()), NANO) / Fraction(self.rate_amount)


class KeptBatch(models.Model):
    """What went into one batch and was worked on it, by component.

    ``ended`` is the day on which it made its lot: until then it stands open, unless it
    was ``lost``. ``first`` and ``last`` are the days of the first and the last thing
    that went in.
    """

    batch = models.OneToOneField(
        "production.Batch", models.PROTECT, primary_key=True, related_name="+"
    )
    level = models.PositiveIntegerField(default=0)
    first = models.DateField(null=True)
    last = models.DateField(null=True)
    ended = models.DateField(null=True)
    lost = models.DateField(null=True)
    tried = models.BooleanField(default=False)
    accepted = models.DateField(null=True)
    inside = parts_field()
    missing = models.JSONField(default=list)

    class Meta:
        ordering = ["batch_id"]
        verbose_name_plural = "kept batches"
        indexes = [
            models.Index(fields=["ended", "first"]),
            models.Index(
                name="kept_batch_of_several_days",
                fields=["first", "last"],
                condition=Q(last__gt=F("first")),
            ),
        ]

    def __str__(self):
        return f"what stands in {self.batch_id}"

    @property
    def trial(self):
        """Whether it is one now."""
        return self.tried and self.accepted is None


class KeptFlowQuerySet(models.QuerySet):
    def by_account(self):
        """What these flows leave each account with, in nano; one query."""
        found: dict[str, int] = {}
        rows = self.order_by().values("out_of", "into")
        for row in rows.annotate(of_money=Sum("money"), of_nano=Sum("nano")):
            nano = together(row["of_money"], row["of_nano"])
            found[row["out_of"]] = found.get(row["out_of"], 0) - nano
            found[row["into"]] = found.get(row["into"], 0) + nano
        return found


class KeptFlow(models.Model):
    """So much value that left one account for another on a day.

    With its ``movement`` it is what an entry took out of its lot; ``batch`` is then
    the one that it went into. Without one it is what came into a lot, was lost with
    its making or with a trial of it (``lot``), or was worked on a batch, lost with it
    or tried in it (``batch``).
    """

    lot = models.ForeignKey(
        "production.Lot", models.PROTECT, null=True, related_name="+", db_index=False
    )
    batch = models.ForeignKey(
        "production.Batch", models.PROTECT, null=True, related_name="+", db_index=False
    )
    movement = models.OneToOneField(
        "production.Movement", models.PROTECT, null=True, related_name="+"
    )
    on = models.DateField()
    out_of = models.CharField(max_length=40)
    into = models.CharField(max_length=40)
    money = models.BigIntegerField()
    nano = models.BigIntegerField()
    parts = parts_field()

    objects = KeptFlowQuerySet.as_manager()

    class Meta:
        ordering = ["id"]
        indexes = [
            models.Index(fields=["on"]),
            models.Index(fields=["into", "on"]),
            models.Index(fields=["lot", "on"]),
            models.Index(fields=["batch", "on"]),
        ]

    def __str__(self):
        return f"{self.out_of} to {self.into} on {self.on}"

    @property
    def value(self):
        """In nano, signed as what goes into its account."""
        return together(self.money, self.nano)


class KeptMonth(models.Model):
    """What all flows of one month together put into an account."""

    month = models.DateField()
    account = models.CharField(max_length=40)
    money = models.BigIntegerField()
    nano = models.BigIntegerField()

    class Meta:
        ordering = ["month", "account"]
        constraints = [
            models.UniqueConstraint(
                name="one_sum_a_month_and_account", fields=["month", "account"]
            )
        ]

    def __str__(self):
        return f"{self.account} in {self.month:%Y-%m}"

    @property
    def value(self):
        """In nano."""
        return together(self.money, self.nano)


class KeptBy(models.Model):
    """The version of Kettlebook by whose sums the values are kept: one row."""

    version = models.CharField(max_length=40)

    class Meta:
        verbose_name_plural = "kept by"

    def __str__(self):
        return f"kept by {self.version}"


def together(money: int | None, nano: int | None) -> int:
    """The two columns of a sum as one whole number."""
    return int(money or 0) * NANO + int(nano or 0)


def apart(nano: int) -> Mapping[str, Any]:
    """A whole number of nano as the two columns that keep it."""
    money, rest = divmod(nano, NANO)
    return {"money": money, "nano": rest}
