"""Rows that are added once and never changed: mend them with another row."""

from typing import Any

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Exists, OuterRef

PLEA = "This entry is written in ink. Record a correction instead."


class InkQuerySet(models.QuerySet):
    """Adds, finds, and refuses everything else."""

    def update(self, **kwargs):
        raise ValidationError(PLEA)

    def delete(self):
        raise ValidationError(PLEA)

    def bulk_update(self, objs, fields, batch_size=None):
        raise ValidationError(PLEA)


class KnowsWhatStands(models.QuerySet):
    """Rows of which ``with_standing`` says whether they were taken back."""

    def standing(self):
        """Without those that were taken back, at once or line by line."""
        return self.with_standing().filter(stands=True)


class WrittenInInk(models.Model):
    """Refuses to be saved twice or deleted; a database trigger backs it up."""

    objects = InkQuerySet.as_manager()

    class Meta:
        abstract = True

    def save(self, *args, **kwargs):
        if not self._state.adding:
            raise ValidationError(PLEA)
        super().save(*args, **kwargs)

    def delete(self, *args, **kwargs):
        raise ValidationError(PLEA)


class Deed(WrittenInInk):
    """One act of a person: every entry belongs to one.

    ``on`` is the business date in the workshop's zone, ``at`` the moment of typing;
    ``typed`` is a digest of what was typed, "" where it was not kept.
    """

    # What takes another deed back is called.
    UNDO = "undo"

    key = models.CharField(max_length=100, unique=True)
    verb = models.CharField(max_length=40)
    on = models.DateField()
    at = models.DateTimeField(auto_now_add=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    reason = models.CharField(max_length=500, blank=True)
    undoes = models.OneToOneField(
        "self", models.PROTECT, null=True, blank=True, related_name="undone_by"
    )
    typed = models.CharField(max_length=64, blank=True)

    class Meta:
        ordering = ["-id"]
        indexes = [models.Index(fields=["on", "id"])]

    def __str__(self):
        return f"{self.verb} on {self.on}"


class ByDeedQuerySet(InkQuerySet):
    """Rows that deeds wrote."""

    def standing(self):
        """Without the rows of deeds that were taken back."""
        return self.exclude(Exists(Deed.objects.filter(undoes=OuterRef("deed"))))


class ByDeed(WrittenInInk):
    """An ink row that a deed wrote."""

    deed = models.ForeignKey(Deed, models.PROTECT, related_name="+")

    objects = ByDeedQuerySet.as_manager()

    class Meta:
        abstract = True


ByDeedManager: Any = models.Manager.from_queryset(ByDeedQuerySet)


class StandingManager(ByDeedManager):
    """Finds what counts: the rows of deeds that nobody took back."""

    def get_queryset(self):
        return super().get_queryset().standing()


class WhileItsDeedStands(ByDeed):
    """A row that counts until its deed is taken back; ``written`` finds all of them."""

    objects = StandingManager()
    written = ByDeedQuerySet.as_manager()

    class Meta:
        abstract = True


class Restated(ByDeed):
    """A fact that was said anew: what it was before stays readable.

    Of a card that an owner changed, and of every typed figure that was put right; of
    each field the latest row that stands counts. ``value`` is text, "" for nothing.
    """

    class Of(models.TextChoices):
        ITEM = "item"
        PERSON = "person"
        RULE = "rule"
        PURCHASE = "purchase"
        LINE = "line"
        EXTRA_COST = "extra cost"
        LOT = "lot"
        BATCH = "batch"
        SALE = "sale"
        SALE_LINE = "sale line"
        ENTRY = "entry"
        GIVEN = "given"
        READING = "reading"
        WORK = "work"
        LOSS = "loss"

    of = models.CharField(max_length=12, choices=Of)
    row = models.PositiveBigIntegerField()
    field = models.CharField(max_length=40)
    before = models.CharField(max_length=300, blank=True)
    value = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["id"]
        indexes = [models.Index(fields=["of", "row"])]

    def __str__(self):
        return f"{self.field} of {self.of} {self.row}: {self.value}"


class Closing(ByDeed):
    """Later deeds dated on or before ``through`` are refused."""

    through = models.DateField()

    class Meta:
        ordering = ["-through"]

    def __str__(self):
        return f"closed through {self.through}"


def ink_tables():
    """The tables that triggers must guard, by name."""
    from django.apps import apps

    return sorted(
        model._meta.db_table
        for model in apps.get_models()
        if issubclass(model, WrittenInInk)
    )


def trigger_names(table):
    return [f"{table}_no_update", f"{table}_no_delete"]


def install_triggers(connection, tables):
    """Let the database itself refuse to change these tables.

    SQLite drops triggers when a table is rebuilt, so each migration of an ink
    table calls this again.
    """
    lift_triggers(connection, tables)
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(
                "CREATE OR REPLACE FUNCTION kettlebook_ink() RETURNS trigger AS $$ "
                f"BEGIN RAISE EXCEPTION '{PLEA}'; END; $$ LANGUAGE plpgsql"
            )
        for table in tables:
            for name in trigger_names(table):
                event = "UPDATE" if name.endswith("update") else "DELETE"
                cursor.execute(_trigger(connection.vendor, name, event, table))


def _trigger(vendor, name, event, table):
    if vendor == "postgresql":
        events = event if event == "UPDATE" else "DELETE OR TRUNCATE"
        return (
            f'CREATE TRIGGER "{name}" BEFORE {events} ON "{table}" '
            "FOR EACH STATEMENT EXECUTE FUNCTION kettlebook_ink()"
        )
    return (
        f'CREATE TRIGGER "{name}" BEFORE {event} ON "{table}" '
        f"BEGIN SELECT RAISE(ABORT, '{PLEA}'); END"
    )


def lift_triggers(connection, tables):
    """Take the guard away: only for emptying a test database."""
    with connection.cursor() as cursor:
        for table in tables:
            for name in trigger_names(table):
                on = f' ON "{table}"' if connection.vendor == "postgresql" else ""
                cursor.execute(f'DROP TRIGGER IF EXISTS "{name}"{on}')


def missing_triggers(connection):
    """Name the ink triggers that the database lacks."""
    query = (
        "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal AND tgenabled <> 'D'"
        if connection.vendor == "postgresql"
        else "SELECT name FROM sqlite_master WHERE type = 'trigger'"
    )
    with connection.cursor() as cursor:
        cursor.execute(query)
        there = {row[0] for row in cursor.fetchall()}
    wanted = {name for table in ink_tables() for name in trigger_names(table)}
    return sorted(wanted - there)
