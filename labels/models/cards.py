"""What a label says of a product, and the sheets it is printed on: plain cards."""

from decimal import Decimal

from django.db import models
from django.urls import reverse

from labels.domain.heights import SQUARE_CM, Bottle
from labels.domain.sheets import Geometry
from labels.fields import Length
from labels.models.dress import Dressed
from production.models import Item

NUMBERS = (
    "page_width",
    "page_height",
    "label_width",
    "label_height",
    "columns",
    "rows",
    "left",
    "top",
    "gap_across",
    "gap_down",
    "moved_right",
    "moved_down",
)


class LabelCard(Dressed):
    """What stands on every label of one product, whatever the lot."""

    class Shape(models.TextChoices):
        UNSAID = "", "not said"
        FLAT = "flat", "a bottle with flat sides"
        ROUND = "round", "a round bottle"
        OTHER = "other", "a bottle of another shape"
        LABEL = "label", "the label covers all of the side that is shown"

    class Body(models.TextChoices):
        UNSAID = "", "not said"
        LIQUID = "liquid", "a liquid"
        PASTE = "paste", "a thick paste"

    class MadeFor(models.TextChoices):
        PEOPLE = "", "people: hands, body, hair"
        DISHES = "dishes", "dishes"
        LAUNDRY = "laundry", "clothes"
        SURFACES = "surfaces", "floors and surfaces"
        ANIMALS = "animals", "animals"

    class Basis(models.TextChoices):
        OWN = "", "the one the rules ask for"
        ADDED = "added", "as added"
        FINISHED = "finished", "as finished"

    item = models.OneToOneField(Item, models.PROTECT, related_name="label_card")
    identity = models.CharField("what it is", max_length=120, blank=True)
    function = models.CharField("what it is for", max_length=160, blank=True)
    language = models.CharField(
        "written in", max_length=2, default="en", help_text="The language of this card."
    )
    declared = models.CharField("contents", max_length=80, blank=True)
    rules = models.CharField("label rules", max_length=2, default="us")
    sold_in = models.CharField(
        max_length=2, blank=True, help_text="Its language follows from there."
    )
    basis = models.CharField(max_length=8, choices=Basis, blank=True)
    width = Length("label width, mm", default=Decimal(60))
    height = Length("label height, mm", default=Decimal(90))
    directions = models.TextField(max_length=600, blank=True)
    cautions = models.TextField(max_length=600, blank=True)
    no_cautions = models.BooleanField("no precautions are needed", default=False)
    keeps_months = models.PositiveSmallIntegerField(
        "months it keeps", null=True, blank=True
    )
    opened_months = models.PositiveSmallIntegerField(
        "months once opened", null=True, blank=True
    )
    once = models.BooleanField(
        "used up at once, or cannot spoil once opened", default=False
    )
    origin = models.CharField("where it was made", max_length=80, blank=True)
    rinse_off = models.BooleanField("rinsed off after use", default=True)
    substitutes = models.TextField(
        "substitutes in a shortage", max_length=400, blank=True
    )
    body = models.CharField("liquid or paste", max_length=6, choices=Body, blank=True)
    shape = models.CharField("the bottle", max_length=5, choices=Shape, blank=True)
    panel_height = Length("height of the straight wall, mm", null=True, blank=True)
    panel_across = Length(
        "width of a flat side, or around the bottle, mm", null=True, blank=True
    )
    panel_diameter = Length("diameter of a round bottle, mm", null=True, blank=True)
    panel_surface = Length("all that can bear a label, cm²", null=True, blank=True)

    made_for = models.CharField(
        "what it washes", max_length=8, choices=MadeFor, blank=True
    )
    claims = models.TextField("what else is said of it", max_length=2_000, blank=True)
    sold_as_more = models.BooleanField(
        "sold as more than soap: as a cosmetic too", default=False
    )
    hand_wash = models.BooleanField("for hands alone", default=False)
    bath_foam = models.BooleanField(
        "meant to be added to a bath to make foam", default=False
    )
    adults_only = models.BooleanField(
        "labelled for use exclusively by adults", default=False
    )
    for_children = models.BooleanField("a bath foam for children", default=False)

    class Meta:
        ordering = ["item__name"]

    def __str__(self):
        return f"label of {self.item}"

    def get_absolute_url(self):
        return reverse("item-label", args=[self.item_id])

    def bottle(self) -> Bottle:
        """What is known of what the label goes onto."""
        return Bottle(
            self.shape,
            self.panel_height,
            self.panel_across,
            self.panel_diameter,
            None if self.panel_surface is None else self.panel_surface * SQUARE_CM,
        )


class LabelText(models.Model):
    """The same card in another language."""

    card = models.ForeignKey(LabelCard, models.CASCADE, related_name="texts")
    language = models.CharField(max_length=2)
    identity = models.CharField("what it is", max_length=120, blank=True)
    function = models.CharField("what it is for", max_length=160, blank=True)
    directions = models.TextField(max_length=600, blank=True)
    cautions = models.TextField("precautions", max_length=600, blank=True)
    origin = models.CharField("where it was made", max_length=80, blank=True)

    class Meta:
        ordering = ["language"]
        constraints = [
            models.UniqueConstraint(
                name="one_text_a_language",
                fields=["card", "language"],
                violation_error_message="There is a text in this language already.",
            )
        ]

    def __str__(self):
        return f"{self.card} in {self.language}"


class LabelAddress(models.Model):
    """Who answers for the goods under one set of rules, where the maker does not."""

    class Role(models.TextChoices):
        RESPONSIBLE = "responsible", "responsible person"
        DISTRIBUTED = "distributed_by", "distributed by"
        MADE_FOR = "made_for", "manufactured for"
        IMPORTED_BY = "imported_by", "imported by"
        IMPORTED_FOR = "imported_for", "imported for"

    rules = models.CharField("label rules", max_length=2, unique=True)
    role = models.CharField("what they do", max_length=14, choices=Role)
    name = models.CharField(max_length=120)
    street = models.CharField(max_length=160)
    town = models.CharField("postal code and town", max_length=160)
    country = models.CharField(max_length=2)

    class Meta:
        ordering = ["rules"]

    def __str__(self):
        return f"{self.get_role_display()} {self.name}"


class Sheet(models.Model):
    """The geometry of a sheet of labels: numbers, in mm."""

    page_width = Length("page width")
    page_height = Length("page height")
    label_width = Length("label width")
    label_height = Length("label height")
    columns = models.PositiveSmallIntegerField("labels across")
    rows = models.PositiveSmallIntegerField("labels down")
    left = Length("left margin")
    top = Length("top margin")
    gap_across = Length("gap across", default=Decimal(0))
    gap_down = Length("gap down", default=Decimal(0))
    moved_right = Length(
        "print farther right", default=Decimal(0), blank=True, validators=[]
    )
    moved_down = Length("print lower", default=Decimal(0), blank=True, validators=[])

    class Meta:
        ordering = ["page_width", "label_width", "label_height", "pk"]
        constraints = [
            models.UniqueConstraint(
                name="no_sheet_twice",
                fields=NUMBERS,
                violation_error_message="This sheet is known already.",
            )
        ]

    def __str__(self):
        return str(self.geometry())

    def geometry(self):
        """Refused where the labels do not fit on the page."""
        return Geometry(**{name: getattr(self, name) for name in NUMBERS})
