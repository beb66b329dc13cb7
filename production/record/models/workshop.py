"""Whose book it is: the card of the workshop, and the shape of every card."""

from django.db import models
from django.urls import reverse

from production.quantities.fields import QuantityField


class Named(models.Model):
    """What is known and listed by its name."""

    # Whether a character that no eye sees is refused in it.
    plain_name = False

    class Meta:
        abstract = True
        ordering = ["name"]

    def __str__(self):
        return self.name


class Card(Named):
    """The same with a page of its own, which is called as the model is."""

    class Meta(Named.Meta):
        abstract = True

    def get_absolute_url(self):
        return reverse(self._meta.model_name, args=[self.pk])


class Workshop(models.Model):
    """One row: who makes the soap, and how to reach them."""

    name = models.CharField(max_length=120)
    address = models.TextField(blank=True)
    country = models.CharField(
        max_length=2, blank=True, help_text="Labels and importers need it."
    )
    contact = models.CharField(
        "contact for reactions",
        max_length=200,
        blank=True,
        help_text="A phone number, web page or address for people who react badly.",
    )
    currency = models.CharField(max_length=3, default="USD")
    zone = models.CharField("time zone", max_length=60, default="UTC")
    units = models.CharField(
        max_length=6,
        choices=[("metric", "metric"), ("us", "US customary")],
        default="metric",
    )
    paper = models.CharField(
        max_length=6, choices=[("A4", "A4"), ("Letter", "Letter")], default="A4"
    )
    balance_step = QuantityField(
        "smallest step of the balance, g",
        null=True,
        blank=True,
        help_text="What the last digit counts in: it widens the range of a superfat.",
    )
    domain = models.CharField("web domain", max_length=120, blank=True)
    emergency = models.TextField(
        "emergency numbers",
        blank=True,
        help_text="Poison centre, ambulance, nearest hospital: one a line.",
    )
    demo = models.BooleanField(default=False, editable=False)

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="workshop_is_one_row", condition=models.Q(pk=1)
            ),
        ]

    def __str__(self):
        return self.name

    def save(self, *args, **kwargs):
        self.pk = 1
        super().save(*args, **kwargs)


class CodeSeries(models.Model):
    """How many codes were issued; locked while the next one is taken."""

    name = models.CharField(max_length=20, unique=True)
    last = models.PositiveBigIntegerField(default=0)

    def __str__(self):
        return f"{self.name}: {self.last}"
