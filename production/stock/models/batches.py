"""One transformation: lots used, one lot made."""

from django.db import models
from django.db.models import BooleanField, Exists, ExpressionWrapper, OuterRef, Q
from django.db.models.functions import Upper
from django.urls import reverse

from production.quantities.fields import HoursField, MoneyField, QuantityField
from production.record.models.ink import (
    ByDeed,
    ByDeedManager,
    ByDeedQuerySet,
    Deed,
    KnowsWhatStands,
    WhileItsDeedStands,
)
from production.stock.models.lots import Movement


class Stage(models.TextChoices):
    COOK = "cook", "cook"
    PREPARATION = "preparation", "preparation"
    DILUTION = "dilution", "dilution"
    FINISHING = "finishing", "finishing"
    FILLING = "filling", "filling"
    PACKING = "packing", "packing"
    REWORK = "rework", "rework"


# What these make is counted in pieces.
COUNTED = frozenset({Stage.FILLING, Stage.PACKING})


# What these make may be released as it is made.
RELEASED_ON_MAKING = frozenset({Stage.PREPARATION, Stage.DILUTION})


class BatchQuerySet(KnowsWhatStands):
    def with_standing(self):
        """Add ``stands``: False once it was taken back whole.

        That is with its deed, or entry by entry after it had made its lot; an open
        batch that is still empty stands.
        """
        entries = Movement.objects.filter(batch=OuterRef("pk"))
        hours = Work.objects.unreversed().filter(batch=OuterRef("pk"))
        undone = Exists(Deed.objects.filter(undoes=OuterRef("deed")))
        empty = ~undone & ~Exists(entries.filter(kind=Movement.Kind.MADE))
        stands = Exists(entries.standing()) | Exists(hours) | empty
        return self.annotate(stands=ExpressionWrapper(stands, BooleanField()))


class Batch(models.Model):
    """A header; it is open until it has made its lot, or was lost.

    ``follows`` says that the expected yield is worked out from what went in, by the
    ``loss`` that was planned with or that of the version; else ``expected`` is what
    somebody wrote, or nothing.
    """

    code = models.CharField(max_length=60, unique=True)
    deed = models.ForeignKey("production.Deed", models.PROTECT, related_name="batches")
    stage = models.CharField(max_length=11, choices=Stage)
    version = models.ForeignKey(
        "production.Version",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="batches",
    )
    started = models.DateField()
    expected = QuantityField(null=True, blank=True)
    follows = models.BooleanField(default=False)
    loss = models.DecimalField(
        "loss planned with, where it is not the recipe's",
        max_digits=6,
        decimal_places=5,
        null=True,
        blank=True,
    )
    trial = models.BooleanField(default=False)

    objects = BatchQuerySet.as_manager()

    class Meta:
        ordering = ["-started", "-id"]
        verbose_name_plural = "batches"
        indexes = [models.Index(Upper("code"), name="batch_in_any_case")]
        constraints = [
            models.CheckConstraint(
                name="what_is_typed_does_not_follow",
                condition=Q(follows=False) | Q(expected__isnull=True),
            )
        ]

    def __str__(self):
        return self.code

    def get_absolute_url(self):
        return reverse("batch", args=[self.code])


class Promotion(WhileItsDeedStands):
    """A trial whose lot may be sold from now on."""

    batch = models.ForeignKey(Batch, models.PROTECT, related_name="promotions")

    def __str__(self):
        return f"{self.batch} accepted"


def still_a_trial() -> Q:
    """Rows whose batch is a trial that nobody has accepted."""
    accepted = Promotion.objects.filter(batch=OuterRef("batch"))
    return Q(batch__trial=True) & ~Q(Exists(accepted))


class Step(WhileItsDeedStands):
    """Something done or seen while the batch was open, or when a trial is looked at."""

    class Look(models.TextChoices):
        MINUTES = "minutes", "after some minutes"
        DAY = "day", "after a day"
        WEEK = "week", "after a week"

    batch = models.ForeignKey(Batch, models.PROTECT, related_name="steps")
    text = models.CharField(max_length=300)
    look = models.CharField(max_length=7, choices=Look, blank=True)
    on = models.DateField()

    class Meta:
        ordering = ["on", "id"]

    def __str__(self):
        return self.text


class Lost(models.TextChoices):
    """What a loss is called; which of them are normal is said in the domain."""

    STEAM = "steam", "steam"
    SPILL = "spill", "spill"
    WALLS = "left on the walls", "left on the walls"
    SAMPLE = "bench sample", "bench sample"
    SCALE = "weighing difference", "weighing difference"
    BURNT = "burnt", "burnt"
    DROPPED = "dropped", "dropped"
    BOILED_OVER = "boiled over", "boiled over"
    THROWN = "thrown away", "thrown away"
    OTHER = "other", "other"


class Named(ByDeedManager):
    """Finds each loss under its latest name, unless its first deed was taken back."""

    def get_queryset(self):
        taken = Deed.objects.filter(undoes=OuterRef("root__deed"))
        # A name that was taken back hides no earlier one.
        later = Loss.written.standing().filter(pk__gt=OuterRef("pk"))
        later = later.filter(Q(root=OuterRef("pk")) | Q(root=OuterRef("root")))
        stands = super().get_queryset().standing()
        return stands.exclude(Exists(taken)).exclude(Exists(later))


class Loss(ByDeed):
    """A loss that has a name: steam, spill, what stayed on the walls, a sample.

    A loss that was named anew is a row with the first of its line as its root.
    ``written`` finds every name that was ever written.
    """

    Kind = Lost

    batch = models.ForeignKey(Batch, models.PROTECT, related_name="losses")
    kind = models.CharField(max_length=20, choices=Lost)
    amount = QuantityField()
    root = models.ForeignKey(
        "self", models.PROTECT, null=True, blank=True, related_name="renamed"
    )
    on = models.DateField()

    objects = Named()
    written = ByDeedQuerySet.as_manager()

    class Meta:
        ordering = ["on", "id"]
        verbose_name_plural = "losses"
        constraints = [
            models.CheckConstraint(
                name="loss_is_more_than_nothing", condition=Q(amount__gt=0)
            )
        ]

    @property
    def known_as(self):
        return f"loss in {self.batch}"

    def __str__(self):
        return f"{self.kind} {self.amount} g"


class LostBatch(WhileItsDeedStands):
    """A batch that is lost whole: it made nothing, and nothing more goes in."""

    batch = models.ForeignKey(Batch, models.PROTECT, related_name="endings")
    kind = models.CharField(max_length=20, choices=Lost)
    on = models.DateField()

    class Meta:
        ordering = ["id"]

    def __str__(self):
        return f"{self.batch} {self.kind}"


class WorkQuerySet(ByDeedQuerySet):
    def unreversed(self):
        """Hours that no later row took back, without those that took hours back."""
        return self.filter(reverses__isnull=True, reversed_by__isnull=True)


class Work(ByDeed):
    """Hours at a rate: what making the batch cost beside its lots.

    With a ``power`` in kW the rate is that of a kilowatt hour. What is unpaid is an
    owner's own time at a rate to manage by: it is no cost of the lot.
    """

    class Kind(models.TextChoices):
        LABOUR = "labour"
        ENERGY = "energy"
        OVERHEAD = "overhead"
        UNPAID = "unpaid", "an owner's unpaid time"

    batch = models.ForeignKey(Batch, models.PROTECT, related_name="work")
    kind = models.CharField(max_length=8, choices=Kind)
    hours = HoursField()
    rate = MoneyField()
    person = models.CharField(max_length=80, blank=True, default="")
    equipment = models.CharField(max_length=80, blank=True, default="")
    power = models.DecimalField(
        "draws, kW", max_digits=7, decimal_places=3, null=True, blank=True
    )
    reverses = models.OneToOneField(
        "self", models.PROTECT, null=True, blank=True, related_name="reversed_by"
    )
    on = models.DateField()

    objects = WorkQuerySet.as_manager()

    class Meta:
        ordering = ["on", "id"]
        constraints = [
            models.CheckConstraint(
                name="only_a_reversal_takes_hours_back",
                condition=Q(hours__gt=0, reverses__isnull=True)
                | Q(hours__lt=0, reverses__isnull=False),
            ),
            models.CheckConstraint(
                name="what_draws_power_draws_more_than_nothing",
                condition=Q(power__isnull=True) | Q(power__gt=0),
            ),
        ]

    @property
    def cost(self):
        """Exact money: hours, or kilowatt hours, at their rate."""
        return self.hours * (1 if self.power is None else self.power) * self.rate

    @property
    def by_whom(self):
        """The person, or what ran; "" where nobody said it."""
        return self.person or self.equipment

    @property
    def known_as(self):
        return f"hours in {self.batch}"

    def __str__(self):
        return f"{self.hours} h {self.kind}"
