"""Items, lots, and the signed entries that change them."""

from django.db import models
from django.db.models import Exists, F, OuterRef, Q, Subquery, Sum, Value
from django.db.models.functions import Coalesce, Upper
from django.urls import reverse

from production.quantities.fields import MoneyField, QuantityField
from production.record.models.ink import ByDeed, ByDeedQuerySet, WhileItsDeedStands
from production.workshop.models.items import Item
from production.workshop.models.places import Place


class LotQuerySet(models.QuerySet):
    def with_on_hand(self, **where):
        """Add ``on_hand``: what is kept of each lot, at all places or ``where``."""
        kept = self.model._meta.get_field("stock").related_model
        total = (
            kept.objects.filter(lot=OuterRef("pk"), **where)
            .order_by()
            .values("lot")
            .annotate(total=Sum("amount"))
            .values("total")
        )
        nothing = Value(0, QuantityField())
        return self.annotate(on_hand=Coalesce(Subquery(total), nothing))

    def with_status(self):
        """Add ``status``: the word of the latest status row, "" before the first."""
        latest = Status.objects.filter(lot=OuterRef("pk")).order_by("-on", "-id")
        return self.annotate(
            status=Coalesce(Subquery(latest.values("status")[:1]), Value(""))
        )

    def in_stock(self):
        return self.with_on_hand().with_status().filter(on_hand__gt=0)

    def to_go_on(self):
        """The same, where ``on_hand`` leaves out what came back and stands apart."""
        free = self.with_on_hand(place__apart=False)
        return free.with_status().filter(on_hand__gt=0)


class Lot(models.Model):
    """One traceable quantity of one item with one origin.

    A header: what is left and what state it is in are sums of ink.
    """

    code = models.CharField(max_length=60, unique=True)
    item = models.ForeignKey(Item, models.PROTECT, related_name="lots")
    deed = models.ForeignKey("production.Deed", models.PROTECT, related_name="lots")
    batch = models.OneToOneField(
        "production.Batch", models.PROTECT, null=True, blank=True, related_name="lot"
    )
    line = models.ForeignKey(
        "production.PurchaseLine",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="lots",
    )
    component = models.CharField(
        "counts in the cost as",
        max_length=12,
        blank=True,
        help_text="As its item stood on arrival: a later card costs no old lot anew.",
    )
    supplier_lot = models.CharField(max_length=80, blank=True)
    expires = models.DateField(null=True, blank=True)
    net_mass = QuantityField("net mass of a piece, g", null=True, blank=True)
    labelled = models.DateField(
        null=True,
        blank=True,
        help_text="The first day on which a label with its code was printed.",
    )

    objects = LotQuerySet.as_manager()

    class Meta:
        ordering = ["-id"]
        indexes = [
            # A lot is looked up by what somebody typed, in any case.
            models.Index(Upper("code"), name="lot_by_code_in_any_case"),
            models.Index(Upper("supplier_lot"), name="lot_by_the_suppliers_lot"),
        ]
        constraints = [
            models.CheckConstraint(
                name="lot_has_one_origin",
                condition=~Q(batch__isnull=False, line__isnull=False),
            ),
            models.CheckConstraint(
                name="a_piece_weighs_something",
                condition=Q(net_mass__isnull=True) | Q(net_mass__gt=0),
            ),
        ]

    def __str__(self):
        return self.code

    def get_absolute_url(self):
        return reverse("lot", args=[self.code])


class MovementQuerySet(ByDeedQuerySet):
    def standing(self):
        """Entries that were not taken back, without the reversals themselves.

        Asked by the kind: SQLite without statistics takes the index on ``reverses``
        for a short cut, and reads every entry that reverses nothing, once a batch.
        """
        taken_back = Movement.objects.filter(reverses=OuterRef("pk"))
        return self.exclude(kind=Movement.Kind.REVERSED).exclude(Exists(taken_back))

    def used(self):
        """What stands as having gone into batches."""
        return self.standing().filter(kind=Movement.Kind.USED)

    def made(self):
        """What stands as made by them."""
        return self.standing().filter(kind=Movement.Kind.MADE)

    def in_book_order(self):
        """By business date, then typing; a corrected entry keeps its place."""
        place = Coalesce("rank", F("id"), output_field=models.BigIntegerField())
        return self.order_by("on", place, "id")


class Movement(ByDeed):
    """One signed change of one lot at one place: an entry of the stock book."""

    class Kind(models.TextChoices):
        RECEIVED = "received"
        OPENING = "opening"
        USED = "used"
        MADE = "made"
        SOLD = "sold"
        RETURNED = "returned"
        GIVEN = "given"
        COUNTED = "counted"
        REWEIGHED = "reweighed"
        DISCARDED = "discarded"
        SENT_BACK = "sent back", "sent back to the supplier"
        MOVED = "moved"
        REVERSED = "reversed"

    # How a lot begins, or comes in again.
    STARTS = frozenset({Kind.RECEIVED, Kind.OPENING, Kind.MADE})

    deed = models.ForeignKey(
        "production.Deed", models.PROTECT, related_name="movements"
    )
    lot = models.ForeignKey(Lot, models.PROTECT, related_name="movements")
    place = models.ForeignKey(Place, models.PROTECT, related_name="+")
    amount = QuantityField()
    kind = models.CharField(max_length=9, choices=Kind)
    on = models.DateField()
    batch = models.ForeignKey(
        "production.Batch", models.PROTECT, null=True, related_name="movements"
    )
    sale_line = models.ForeignKey(
        "production.SaleLine", models.PROTECT, null=True, related_name="movements"
    )
    reverses = models.OneToOneField(
        "self", models.PROTECT, null=True, related_name="reversed_by"
    )
    root = models.ForeignKey(
        "self",
        models.PROTECT,
        null=True,
        related_name="line",
        help_text="The first entry of its line, of one that was entered again.",
    )
    rank = models.BigIntegerField(
        null=True,
        help_text="The place in the book of the entry that this one corrects.",
    )
    value = MoneyField(
        null=True, help_text="What opening stock or water on tap was worth in all."
    )
    typed = models.CharField(max_length=60, blank=True)

    objects = MovementQuerySet.as_manager()

    class Meta:
        ordering = ["on", "id"]
        indexes = [
            models.Index(fields=["lot", "on", "id"]),
            # Only the edges of the family tree, so that a trace costs what it
            # finds and not what the ledger holds.
            models.Index(
                name="edge_from_lot_to_batch",
                fields=["lot", "batch"],
                condition=Q(kind="used"),
            ),
            models.Index(
                name="edge_from_batch_to_lot",
                fields=["batch", "lot"],
                condition=Q(kind="used"),
            ),
        ]
        constraints = [
            models.CheckConstraint(
                name="movement_sign_follows_its_kind",
                condition=Q(
                    kind__in=["received", "opening", "made", "returned"], amount__gt=0
                )
                | Q(
                    kind__in=["used", "sold", "given", "discarded", "sent back"],
                    amount__lt=0,
                )
                | (
                    Q(kind__in=["counted", "reweighed", "moved", "reversed"])
                    & ~Q(amount=0)
                ),
            ),
            models.CheckConstraint(
                name="reversal_names_what_it_reverses",
                condition=Q(kind="reversed", reverses__isnull=False)
                | (~Q(kind="reversed") & Q(reverses__isnull=True)),
            ),
            models.CheckConstraint(
                name="batch_entries_name_their_batch",
                condition=~Q(kind__in=["used", "made"], batch__isnull=True),
            ),
            models.CheckConstraint(
                name="sale_entries_name_their_line",
                condition=~Q(kind__in=["sold", "returned"], sale_line__isnull=True),
            ),
        ]

    @property
    def known_as(self):
        return f"entry of {self.lot}"

    def __str__(self):
        return f"{self.kind} {self.amount} of {self.lot}"

    @property
    def first(self):
        """The first entry of its line: a recipient and an answer hang on that one."""
        return self.root if self.root_id else self


# Such an entry has another half, or readings of its own: they go together.
TAKEN_BACK_WHOLE = frozenset(
    {Movement.Kind.MOVED, Movement.Kind.RETURNED, Movement.Kind.REWEIGHED}
)


class Status(WhileItsDeedStands):
    """A word on a lot: the latest one in the book's order counts."""

    class Word(models.TextChoices):
        QUARANTINE = "quarantine"
        RELEASED = "released"
        HELD = "held"
        REJECTED = "rejected"

    lot = models.ForeignKey(Lot, models.PROTECT, related_name="statuses")
    status = models.CharField(max_length=10, choices=Word)
    on = models.DateField()
    override = models.BooleanField(default=False)

    class Meta:
        ordering = ["on", "id"]
        indexes = [models.Index(fields=["lot", "-on", "-id"])]

    def __str__(self):
        return f"{self.lot} {self.status}"


class OpenPack(WhileItsDeedStands):
    """The lot of a material that stands open at the bench; the latest row counts."""

    lot = models.ForeignKey(Lot, models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-id"]

    def __str__(self):
        return f"{self.lot} is open"


class Given(ByDeed):
    """Why goods left without a sale, and to whom."""

    class Why(models.TextChoices):
        SAMPLE = "sample"
        LABORATORY = "laboratory", "sample for a laboratory"
        TESTER = "tester"
        GIFT = "gift"
        OWN_USE = "own use"
        RETAINED = "retained"

    movement = models.OneToOneField(Movement, models.PROTECT, related_name="given")
    why = models.CharField(max_length=10, choices=Why)
    recipient = models.CharField(max_length=120, blank=True)

    @property
    def known_as(self):
        return f"what was given of {self.movement.lot}"

    def __str__(self):
        return f"{self.why} {self.movement}"
