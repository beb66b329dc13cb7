"""Label cards, marks, sheets, kinds and assessments."""

from decimal import Decimal

import django.core.validators
import django.db.models.deletion
from django.db import migrations, models

import labels.fields


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("production", "0004_name_mixtures_and_documents"),
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
            name="Assessment",
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
                ("rules", models.CharField(max_length=2, verbose_name="label rules")),
                ("reference", models.CharField(max_length=80)),
                (
                    "assessor",
                    models.CharField(max_length=120, verbose_name="assessor's name"),
                ),
                ("assessed_on", models.DateField(verbose_name="dated")),
                (
                    "holds_until",
                    models.DateField(blank=True, null=True, verbose_name="holds until"),
                ),
                (
                    "notification",
                    models.CharField(
                        blank=True, max_length=60, verbose_name="notification number"
                    ),
                ),
                (
                    "notified_on",
                    models.DateField(blank=True, null=True, verbose_name="notified on"),
                ),
                (
                    "responsible",
                    models.TextField(
                        blank=True, max_length=300, verbose_name="responsible person"
                    ),
                ),
                (
                    "deed",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="production.deed",
                    ),
                ),
                (
                    "item",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="assessments",
                        to="production.item",
                    ),
                ),
                (
                    "pack",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="production.item",
                    ),
                ),
            ],
            options={
                "ordering": ["-id"],
            },
        ),
        migrations.CreateModel(
            name="AssessedRecipe",
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
                    "first_version",
                    models.PositiveSmallIntegerField(blank=True, null=True),
                ),
                (
                    "last_version",
                    models.PositiveSmallIntegerField(blank=True, null=True),
                ),
                (
                    "deed",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="production.deed",
                    ),
                ),
                (
                    "formula",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="production.formula",
                    ),
                ),
                (
                    "assessment",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="recipes",
                        to="labels.assessment",
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
            },
        ),
        migrations.CreateModel(
            name="AssessedFragrance",
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
                    "most",
                    models.DecimalField(
                        decimal_places=8, max_digits=9, verbose_name="at most"
                    ),
                ),
                (
                    "deed",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="production.deed",
                    ),
                ),
                (
                    "item",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="production.item",
                    ),
                ),
                (
                    "assessment",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="fragrances",
                        to="labels.assessment",
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
            },
        ),
        migrations.CreateModel(
            name="KindDecision",
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
                ("rules", models.CharField(max_length=2, verbose_name="label rules")),
                ("kind", models.CharField(max_length=60)),
                (
                    "why",
                    models.CharField(
                        blank=True, max_length=300, verbose_name="what it leans on"
                    ),
                ),
                ("over", models.TextField(blank=True)),
                (
                    "deed",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="production.deed",
                    ),
                ),
                (
                    "item",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="kind_decisions",
                        to="production.item",
                    ),
                ),
            ],
            options={
                "ordering": ["-id"],
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
                        blank=True, max_length=80, verbose_name="contents"
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
                    "rinse_off",
                    models.BooleanField(
                        default=True, verbose_name="rinsed off after use"
                    ),
                ),
                (
                    "substitutes",
                    models.TextField(
                        blank=True,
                        max_length=400,
                        verbose_name="substitutes in a shortage",
                    ),
                ),
                (
                    "body",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("", "not said"),
                            ("liquid", "a liquid"),
                            ("paste", "a thick paste"),
                        ],
                        max_length=6,
                        verbose_name="how it flows",
                    ),
                ),
                (
                    "shape",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("", "not said"),
                            ("flat", "a bottle with flat sides"),
                            ("round", "a round bottle"),
                            ("other", "a bottle of another shape"),
                            ("label", "the label covers all of the side that is shown"),
                        ],
                        max_length=5,
                        verbose_name="the bottle",
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
                        verbose_name="height of the straight wall, mm",
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
                        verbose_name="width of a flat side, or once round, mm",
                    ),
                ),
                (
                    "panel_diameter",
                    labels.fields.Length(
                        blank=True,
                        decimal_places=2,
                        max_digits=6,
                        null=True,
                        validators=[
                            django.core.validators.MinValueValidator(Decimal("0"))
                        ],
                        verbose_name="diameter of a round bottle, mm",
                    ),
                ),
                (
                    "panel_surface",
                    labels.fields.Length(
                        blank=True,
                        decimal_places=2,
                        max_digits=6,
                        null=True,
                        validators=[
                            django.core.validators.MinValueValidator(Decimal("0"))
                        ],
                        verbose_name="all that can bear a label, cm²",
                    ),
                ),
                (
                    "made_for",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("", "people: hands, body, hair"),
                            ("dishes", "dishes"),
                            ("laundry", "clothes"),
                            ("surfaces", "floors and surfaces"),
                            ("animals", "animals"),
                        ],
                        max_length=8,
                        verbose_name="what it washes",
                    ),
                ),
                (
                    "claims",
                    models.TextField(
                        blank=True,
                        max_length=2000,
                        verbose_name="what else is said of it",
                    ),
                ),
                (
                    "sold_as_more",
                    models.BooleanField(
                        default=False,
                        verbose_name="sold as more than soap: as a cosmetic too",
                    ),
                ),
                (
                    "hand_wash",
                    models.BooleanField(default=False, verbose_name="for hands alone"),
                ),
                (
                    "bath_foam",
                    models.BooleanField(
                        default=False,
                        verbose_name="meant to be added to a bath to make foam",
                    ),
                ),
                (
                    "adults_only",
                    models.BooleanField(
                        default=False,
                        verbose_name="labelled for use exclusively by adults",
                    ),
                ),
                (
                    "for_children",
                    models.BooleanField(
                        default=False, verbose_name="a bath foam for children"
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
