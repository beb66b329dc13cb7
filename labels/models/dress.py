"""How the labels of a product are dressed, and the maker's own mark."""

from django.db import models

from production.models import Item


class Dressed(models.Model):
    """What no rule asks for on a label."""

    class Layout(models.TextChoices):
        ONE = "one", "one label"
        PAIR = "pair", "a front and a back, two labels"
        WRAP = "wrap", "one that goes round the bottle"

    class Design(models.TextChoices):
        PLAIN = "plain", "plain: all from the left"
        FRAME = "frame", "frame: in the middle of a double line"
        BAND = "band", "band: the name white on black"

    class BatchCode(models.TextChoices):
        NONE = "", "in figures alone"
        QR = "qr", "as a QR code, too"
        CODE_128 = "code128", "as a bar code (Code 128), too"

    product = models.CharField("name of the product", max_length=80, blank=True)
    scent = models.CharField(max_length=80, blank=True)
    layout = models.CharField(max_length=4, choices=Layout, default=Layout.ONE)
    design = models.CharField(max_length=5, choices=Design, default=Design.PLAIN)
    batch_code = models.CharField(
        "batch number", max_length=7, choices=BatchCode, blank=True
    )
    shelf = models.CharField("your own EAN-13 or UPC-A", max_length=20, blank=True)
    leaflet = models.BooleanField(
        "see the enclosed leaflet (hand and book)", default=False
    )
    estimated = models.BooleanField("e-mark", default=False)

    class Meta:
        abstract = True


class MakersMark(models.Model):
    """The maker's own mark, of all products or of one; its bytes lie under their
    digest among the attachments."""

    item = models.OneToOneField(
        Item, models.PROTECT, null=True, blank=True, related_name="makers_mark"
    )
    sha256 = models.CharField(max_length=64)
    name = models.CharField(max_length=200)
    type = models.CharField(max_length=60)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                models.Value(1),
                name="one_mark_of_all_products",
                condition=models.Q(item__isnull=True),
            )
        ]

    def __str__(self):
        return self.name
