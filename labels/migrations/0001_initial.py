"""Label cards, sheets and marks."""

from decimal import Decimal

import django.core.validators
import django.db.models.deletion
from django.db import migrations, models

import labels.fields


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("production", "0003_workshop_country"),
    ]

    operations = [
        migrations.CreateModel(
            name="LabelAddress",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                (
                    "rules",
                    models.CharField(
                        max_length=2, unique=True, verbose_name="label rules"
                    ),
                ),
                (
                    "role",
                    models.CharField(
                        choices=[
                            ("responsible", "responsible person"),
                            ("distributed_by", "distributed by"),
                            ("made_for", "manufactured for"),
                            ("imported_by", "imported by"),
                            ("imported_for", "imported for"),
                        ],
                        max_length=14,
                        verbose_name="what they do",
                    ),
                ),
                ("name", models.CharField(max_length=120)),
                ("street", models.CharField(max_length=160)),
                (
                    "town",
                    models.CharField(
                        max_length=160, verbose_name="postal code and town"
                    ),
                ),
                ("country", models.CharField(max_length=2)),
            ],
            options={
                "ordering": ["rules"],
            },
        ),
        migrations.CreateModel(
            name="LabelCard",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                (
                    "product",
                    models.CharField(
                        blank=True, max_length=80, verbose_name="name of the product"
                    ),
                ),
                ("scent", models.CharField(blank=True, max_length=80)),
                (
                    "layout",
                    models.CharField(
                        choices=[
                            ("one", "one label"),
                            ("pair", "a front and a back, two labels"),
                            ("wrap", "one that goes round the bottle"),
                        ],
                        default="one",
                        max_length=4,
                    ),
                ),
                (
                    "design",
                    models.CharField(
                        choices=[
                            ("plain", "plain: all from the left"),
                            ("frame", "frame: in the middle of a double line"),
                            ("band", "band: the name white on black"),
                        ],
                        default="plain",
                        max_length=5,
                    ),
                ),
                (
                    "batch_code",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("", "in figures alone"),
                            ("qr", "as a QR code, too"),
                            ("code128", "as a bar code (Code 128), too"),
                        ],
                        max_length=7,
                        verbose_name="batch number",
                    ),
                ),
                (
                    "shelf",
                    models.CharField(
                        blank=True,
                        max_length=20,
                        verbose_name="your own EAN-13 or UPC-A",
                    ),
                ),
                (
                    "leaflet",
                    models.BooleanField(
                        default=False,
                        verbose_name="see the enclosed leaflet (hand and book)",
                    ),
                ),
                (
                    "estimated",
                    models.BooleanField(default=False, verbose_name="e-mark"),
                ),
                (
                    "identity",
                    models.CharField(
                        blank=True, max_length=120, verbose_name="what it is"
                    ),
                ),
                (
                    "function",
                    models.CharField(
                        blank=True, max_length=160, verbose_name="what it is for"
                    ),
                ),
                (
                    "language",
                    models.CharField(
                        default="en",
                        help_text="The language of this card.",
                        max_length=2,
                        verbose_name="written in",
                    ),
                ),
                (
                    "declared",
                    models.CharField(
                        blank=True, max_length=40, verbose_name="contents"
                    ),
                ),
                (
                    "rules",
                    models.CharField(
                        default="us", max_length=2, verbose_name="label rules"
                    ),
                ),
                (
                    "sold_in",
                    models.CharField(
                        blank=True,
                        help_text="Its language follows from there.",
                        max_length=2,
                    ),
                ),
                (
                    "basis",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("", "the one the rules ask for"),
                            ("added", "as added"),
                            ("finished", "as finished"),
                        ],
                        max_length=8,
                    ),
                ),
                (
                    "width",
                    labels.fields.Length(
                        decimal_places=2,
                        default=Decimal("60"),
                        max_digits=6,
                        validators=[
                            django.core.validators.MinValueValidator(Decimal("0"))
                        ],
                        verbose_name="label width, mm",
                    ),
                ),
                (
                    "height",
                    labels.fields.Length(
                        decimal_places=2,
                        default=Decimal("90"),
                        max_digits=6,
                        validators=[
                            django.core.validators.MinValueValidator(Decimal("0"))
                        ],
                        verbose_name="label height, mm",
                    ),
                ),
                ("directions", models.TextField(blank=True, max_length=600)),
                ("cautions", models.TextField(blank=True, max_length=600)),
                (
                    "no_cautions",
                    models.BooleanField(
                        default=False, verbose_name="no precautions are needed"
                    ),
                ),
                (
                    "keeps_months",
                    models.PositiveSmallIntegerField(
                        blank=True, null=True, verbose_name="months it keeps"
                    ),
                ),
                (
                    "opened_months",
                    models.PositiveSmallIntegerField(
                        blank=True, null=True, verbose_name="months once opened"
                    ),
                ),
                (
                    "once",
                    models.BooleanField(
                        default=False,
                        verbose_name="used up at once, or cannot spoil once opened",
                    ),
                ),
                (
                    "origin",
                    models.CharField(
                        blank=True, max_length=80, verbose_name="where it was made"
                    ),
                ),
                (
                    "shape",
                    models.CharField(
                        choices=[
                            ("label", "the label itself"),
                            ("flat", "a flat side of the bottle"),
                            ("round", "a round bottle"),
                        ],
                        default="label",
                        max_length=5,
                        verbose_name="the side that is shown",
                    ),
                ),
                (
                    "panel_height",
                    labels.fields.Length(
                        blank=True,
                        decimal_places=2,
                        max_digits=6,
                        null=True,
                        validators=[
                            django.core.validators.MinValueValidator(Decimal("0"))
                        ],
                        verbose_name="height of that side, mm",
                    ),
                ),
                (
                    "panel_across",
                    labels.fields.Length(
                        blank=True,
                        decimal_places=2,
                        max_digits=6,
                        null=True,
                        validators=[
                            django.core.validators.MinValueValidator(Decimal("0"))
                        ],
                        verbose_name="its width, or once round it, mm",
                    ),
                ),
                (
                    "item",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="label_card",
                        to="production.item",
                    ),
                ),
            ],
            options={
                "ordering": ["item__name"],
            },
        ),
        migrations.CreateModel(
            name="Sheet",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                (
                    "page_width",
                    labels.fields.Length(
                        decimal_places=2,
                        max_digits=6,
                        validators=[
                            django.core.validators.MinValueValidator(Decimal("0"))
                        ],
                        verbose_name="page width",
                    ),
                ),
                (
                    "page_height",
                    labels.fields.Length(
                        decimal_places=2,
                        max_digits=6,
                        validators=[
                            django.core.validators.MinValueValidator(Decimal("0"))
                        ],
                        verbose_name="page height",
                    ),
                ),
                (
                    "label_width",
                    labels.fields.Length(
                        decimal_places=2,
                        max_digits=6,
                        validators=[
                            django.core.validators.MinValueValidator(Decimal("0"))
                        ],
                        verbose_name="label width",
                    ),
                ),
                (
                    "label_height",
                    labels.fields.Length(
                        decimal_places=2,
                        max_digits=6,
                        validators=[
                            django.core.validators.MinValueValidator(Decimal("0"))
                        ],
                        verbose_name="label height",
                    ),
                ),
                (
                    "columns",
                    models.PositiveSmallIntegerField(verbose_name="labels across"),
                ),
                ("rows", models.PositiveSmallIntegerField(verbose_name="labels down")),
                (
                    "left",
                    labels.fields.Length(
                        decimal_places=2,
                        max_digits=6,
                        validators=[
                            django.core.validators.MinValueValidator(Decimal("0"))
                        ],
                        verbose_name="left margin",
                    ),
                ),
                (
                    "top",
                    labels.fields.Length(
                        decimal_places=2,
                        max_digits=6,
                        validators=[
                            django.core.validators.MinValueValidator(Decimal("0"))
                        ],
                        verbose_name="top margin",
                    ),
                ),
                (
                    "gap_across",
                    labels.fields.Length(
                        decimal_places=2,
                        default=Decimal("0"),
                        max_digits=6,
                        validators=[
                            django.core.validators.MinValueValidator(Decimal("0"))
                        ],
                        verbose_name="gap across",
                    ),
                ),
                (
                    "gap_down",
                    labels.fields.Length(
                        decimal_places=2,
                        default=Decimal("0"),
                        max_digits=6,
                        validators=[
                            django.core.validators.MinValueValidator(Decimal("0"))
                        ],
                        verbose_name="gap down",
                    ),
                ),
                (
                    "moved_right",
                    labels.fields.Length(
                        blank=True,
                        decimal_places=2,
                        default=Decimal("0"),
                        max_digits=6,
                        validators=[
                            django.core.validators.MinValueValidator(Decimal("0"))
                        ],
                        verbose_name="print farther right",
                    ),
                ),
                (
                    "moved_down",
                    labels.fields.Length(
                        blank=True,
                        decimal_places=2,
                        default=Decimal("0"),
                        max_digits=6,
                        validators=[
                            django.core.validators.MinValueValidator(Decimal("0"))
                        ],
                        verbose_name="print lower",
                    ),
                ),
            ],
            options={
                "ordering": ["page_width", "label_width", "label_height", "pk"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=(
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
                        ),
                        name="no_sheet_twice",
                        violation_error_message="This sheet is known already.",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="LabelText",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                ("language", models.CharField(max_length=2)),
                (
                    "identity",
                    models.CharField(
                        blank=True, max_length=120, verbose_name="what it is"
                    ),
                ),
                (
                    "function",
                    models.CharField(
                        blank=True, max_length=160, verbose_name="what it is for"
                    ),
                ),
                ("directions", models.TextField(blank=True, max_length=600)),
                (
                    "cautions",
                    models.TextField(
                        blank=True, max_length=600, verbose_name="precautions"
                    ),
                ),
                (
                    "origin",
                    models.CharField(
                        blank=True, max_length=80, verbose_name="where it was made"
                    ),
                ),
                (
                    "card",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="texts",
                        to="labels.labelcard",
                    ),
                ),
            ],
            options={
                "ordering": ["language"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("card", "language"),
                        name="one_text_a_language",
                        violation_error_message="There is a text in this language already.",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="MakersMark",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                ("sha256", models.CharField(max_length=64)),
                ("name", models.CharField(max_length=200)),
                ("type", models.CharField(max_length=60)),
                (
                    "item",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="makers_mark",
                        to="production.item",
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [
                    models.UniqueConstraint(
                        models.Value(1),
                        condition=models.Q(("item__isnull", True)),
                        name="one_mark_of_all_products",
                    )
                ],
            },
        ),
    ]
