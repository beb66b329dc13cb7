"""Ways of selling, what is asked for a product in each, and the wanted margin."""

from decimal import Decimal

from django.db import models
from django.db.models import F, Q

from production.models import Item
from production.quantities.fields import MoneyField, QuantityField
from production.record.models.ink import WhileItsDeedStands
from production.record.models.workshop import Card


def _share(*words, **facts):
    """A fraction of one; SQL never adds it up."""
    return models.DecimalField(
        *words, max_digits=9, decimal_places=8, default=0, blank=True, **facts
    )


class Channel(Card):
    """A way of selling and what it costs: a plain card, changed freely.

    Shares are fractions: ``percent`` and ``consignment`` of the price without sales
    tax, ``payment`` of what is paid. ``fixed``, ``shipping``, ``payment_fixed`` are for
    one order, ``stall_fee`` for one day. Prices in it come every ``step`` and end on
    ``ending``.
    """

    class Kind(models.TextChoices):
        WHOLESALE = "wholesale", "wholesale"
        RETAIL = "retail", "retail"

    name = models.CharField(max_length=120, unique=True)
    kind = models.CharField(max_length=9, choices=Kind, default=Kind.RETAIL)
    percent = _share()
    consignment = _share("share that the shop keeps")
    payment = _share("payment fee")
    payment_fixed = MoneyField("fixed payment fee of an order", default=0, blank=True)
    fixed = MoneyField("fixed for an order", default=0, blank=True)
    shipping = MoneyField("shipping that you bear", default=0, blank=True)
    pieces_per_order = QuantityField("pieces of an order", default=1)
    stall_fee = MoneyField("fee for a day", default=0, blank=True)
    pieces_a_day = QuantityField("pieces sold a day", null=True, blank=True)
    tax = _share("sales tax")
    tax_inside = models.BooleanField("prices are said with the tax", default=False)
    step = MoneyField("price step", default=Decimal("0.01"))
    ending = MoneyField("prices end on", default=0, blank=True)

    class Meta(Card.Meta):
        constraints = [
            models.CheckConstraint(
                name="an_order_of_a_channel_has_pieces",
                condition=Q(pieces_per_order__gt=0),
            ),
            models.CheckConstraint(
                name="a_price_ends_within_its_step",
                condition=Q(ending__gte=0, ending__lt=F("step")),
            ),
        ]


class Price(WhileItsDeedStands):
    """What is asked for one piece in a channel from a day on, until the next such day.

    ``price`` as the channel says it, with or without tax; None: it is not offered
    there any more. Of one day the last written counts.
    """

    item = models.ForeignKey(Item, models.PROTECT, related_name="+")
    channel = models.ForeignKey(Channel, models.PROTECT, related_name="+")
    price = MoneyField(null=True, blank=True)
    valid_from = models.DateField()

    class Meta:
        ordering = ["valid_from", "id"]
        indexes = [models.Index(fields=["item", "channel", "valid_from"])]
        constraints = [
            models.CheckConstraint(
                name="a_price_is_more_than_nothing",
                condition=Q(price__isnull=True) | Q(price__gt=0),
            )
        ]

    def __str__(self):
        return f"{self.item} in {self.channel} from {self.valid_from}"


class Target(WhileItsDeedStands):
    """The margin that is wanted of a product, or of all of them; the last counts.

    ``item`` None is the workshop's own. ``margin`` is a fraction of the price without
    tax; None: this product has none of its own any more.
    """

    item = models.ForeignKey(Item, models.PROTECT, null=True, related_name="+")
    margin = models.DecimalField(max_digits=9, decimal_places=8, null=True, blank=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                name="a_margin_is_a_part_of_the_price",
                condition=Q(margin__isnull=True) | Q(margin__gte=0, margin__lt=1),
            )
        ]

    def __str__(self):
        return f"target of {self.item or 'all products'}"
