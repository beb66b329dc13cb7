"""Label cards, sheets and issued labels."""

from decimal import Decimal

import django.core.validators
import django.db.models.deletion
from django.db import migrations, models

import labels.fields


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("production", "0001_initial"),
    ]

    operations = [
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
                    "second_language",
                    models.TextField(
                        blank=True,
                        max_length=600,
                        verbose_name="the same in another language",
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
                    "responsible",
                    models.TextField(
                        blank=True,
                        max_length=300,
                        verbose_name="responsible person in the Union",
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
                        ),
                        name="no_sheet_twice",
                        violation_error_message="This sheet is known already.",
                    )
                ],
            },
        ),
    ]
