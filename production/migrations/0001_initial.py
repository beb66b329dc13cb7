"""The tables of what physically happened."""

from decimal import Decimal

import django.core.validators
import django.db.models.deletion
import django.db.models.functions.text
from django.conf import settings
from django.db import migrations, models

import production.quantities.fields


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="CodeSeries",
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
                ("name", models.CharField(max_length=20, unique=True)),
                ("last", models.PositiveBigIntegerField(default=0)),
            ],
        ),
        migrations.CreateModel(
            name="Customer",
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
                ("name", models.CharField(max_length=120, unique=True)),
                ("contact", models.CharField(blank=True, max_length=200)),
            ],
            options={
                "ordering": ["name"],
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="InciName",
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
                ("source", models.CharField(max_length=300)),
                ("standing", models.CharField(max_length=20)),
                ("key", models.SlugField(unique=True)),
                ("material", models.CharField(max_length=160)),
                ("inci", models.CharField(max_length=160)),
                ("potassium_soap", models.CharField(blank=True, max_length=160)),
                ("sodium_soap", models.CharField(blank=True, max_length=160)),
                ("us_name", models.CharField(blank=True, max_length=200)),
                ("cas", models.CharField(blank=True, max_length=20)),
                ("role", models.CharField(blank=True, max_length=20)),
                ("us_standing", models.CharField(blank=True, max_length=20)),
                ("note", models.TextField(blank=True)),
            ],
            options={
                "ordering": ["material"],
            },
        ),
        migrations.CreateModel(
            name="ReferenceAcid",
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
                ("source", models.CharField(max_length=300)),
                ("standing", models.CharField(max_length=20)),
                ("key", models.CharField(max_length=16, unique=True)),
                ("name", models.CharField(max_length=80)),
                ("formula", models.CharField(max_length=20)),
                ("double_bonds", models.PositiveSmallIntegerField()),
            ],
            options={
                "ordering": ["key"],
            },
        ),
        migrations.CreateModel(
            name="ReferenceEdition",
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
                ("name", models.CharField(max_length=60, unique=True)),
                ("digest", models.CharField(max_length=64)),
            ],
        ),
        migrations.CreateModel(
            name="ReferenceOil",
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
                ("source", models.CharField(max_length=300)),
                ("standing", models.CharField(max_length=20)),
                ("key", models.SlugField(unique=True)),
                ("name", models.CharField(max_length=120, unique=True)),
                ("origin", models.CharField(blank=True, max_length=160)),
                (
                    "kind",
                    models.CharField(
                        choices=[("fat", "fat"), ("acid", "acid"), ("wax", "wax")],
                        max_length=4,
                    ),
                ),
                ("sv_low", models.DecimalField(decimal_places=2, max_digits=7)),
                ("sv_high", models.DecimalField(decimal_places=2, max_digits=7)),
                ("sv", models.DecimalField(decimal_places=2, max_digits=7)),
                ("sv_rule", models.CharField(max_length=60)),
                (
                    "iodine_low",
                    models.DecimalField(decimal_places=2, max_digits=7, null=True),
                ),
                (
                    "iodine_high",
                    models.DecimalField(decimal_places=2, max_digits=7, null=True),
                ),
                (
                    "unsaponifiable_max",
                    models.DecimalField(decimal_places=4, max_digits=7, null=True),
                ),
                (
                    "relative_density_low",
                    models.DecimalField(decimal_places=4, max_digits=6, null=True),
                ),
                (
                    "relative_density_high",
                    models.DecimalField(decimal_places=4, max_digits=6, null=True),
                ),
                (
                    "density_at_c",
                    models.DecimalField(decimal_places=1, max_digits=4, null=True),
                ),
                ("note", models.TextField(blank=True)),
            ],
            options={
                "ordering": ["name"],
            },
        ),
        migrations.CreateModel(
            name="ReferenceRuleOfThumb",
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
                ("source", models.CharField(max_length=300)),
                ("standing", models.CharField(max_length=20)),
                (
                    "topic",
                    models.CharField(
                        choices=[
                            ("clear when diluted", "clear when diluted"),
                            ("cloud point", "cloud point"),
                            ("superfat kept clear", "superfat kept clear"),
                            ("responds to brine", "responds to brine"),
                            ("thinned by glycerin", "thinned by glycerin"),
                            ("prone to rancidity", "prone to rancidity"),
                            ("needs soft water", "needs soft water"),
                            ("sequestrant", "sequestrant"),
                            ("preservation and pH", "preservation and pH"),
                        ],
                        max_length=20,
                    ),
                ),
                (
                    "figure",
                    models.CharField(
                        choices=[
                            ("lauric_myristic", "lauric and myristic acid"),
                            ("oleic", "oleic acid"),
                            ("ricinoleic", "ricinoleic acid"),
                            ("linoleic_linolenic", "linoleic and linolenic acid"),
                            ("palmitic_stearic", "palmitic and stearic acid"),
                            ("iodine_value", "iodine value"),
                            ("potassium_share", "potassium share of the soap"),
                            ("superfat", "superfat"),
                            ("soap_content", "soap content"),
                            ("glycerin", "added glycerin"),
                        ],
                        max_length=20,
                    ),
                ),
                (
                    "low",
                    models.DecimalField(
                        blank=True,
                        decimal_places=5,
                        max_digits=9,
                        null=True,
                        verbose_name="from",
                    ),
                ),
                (
                    "high",
                    models.DecimalField(
                        blank=True,
                        decimal_places=5,
                        max_digits=9,
                        null=True,
                        verbose_name="to below",
                    ),
                ),
                ("says", models.CharField(max_length=300)),
                ("key", models.SlugField(unique=True)),
                ("rank", models.PositiveSmallIntegerField(default=99)),
            ],
            options={
                "ordering": ["rank", "key"],
            },
        ),
        migrations.CreateModel(
            name="Supplier",
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
                ("name", models.CharField(max_length=120, unique=True)),
                ("contact", models.CharField(blank=True, max_length=200)),
                ("note", models.TextField(blank=True)),
            ],
            options={
                "ordering": ["name"],
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Deed",
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
                ("key", models.CharField(max_length=100, unique=True)),
                ("verb", models.CharField(max_length=40)),
                ("on", models.DateField()),
                ("at", models.DateTimeField(auto_now_add=True)),
                ("reason", models.CharField(blank=True, max_length=500)),
                ("typed", models.CharField(blank=True, max_length=64)),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "undoes",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="undone_by",
                        to="production.deed",
                    ),
                ),
            ],
            options={
                "ordering": ["-id"],
            },
        ),
        migrations.CreateModel(
            name="Closing",
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
                ("through", models.DateField()),
                (
                    "deed",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="production.deed",
                    ),
                ),
            ],
            options={
                "ordering": ["-through"],
            },
        ),
        migrations.CreateModel(
            name="Batch",
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
                ("code", models.CharField(max_length=60, unique=True)),
                (
                    "stage",
                    models.CharField(
                        choices=[
                            ("cook", "cook"),
                            ("preparation", "preparation"),
                            ("dilution", "dilution"),
                            ("finishing", "finishing"),
                            ("filling", "filling"),
                            ("packing", "packing"),
                            ("rework", "rework"),
                        ],
                        max_length=11,
                    ),
                ),
                ("started", models.DateField()),
                (
                    "expected",
                    production.quantities.fields.QuantityField(blank=True, null=True),
                ),
                ("follows", models.BooleanField(default=False)),
                (
                    "loss",
                    models.DecimalField(
                        blank=True,
                        decimal_places=5,
                        max_digits=6,
                        null=True,
                        verbose_name="loss planned with, where it is not the recipe's",
                    ),
                ),
                ("trial", models.BooleanField(default=False)),
                (
                    "deed",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="batches",
                        to="production.deed",
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "batches",
                "ordering": ["-started", "-id"],
            },
        ),
        migrations.CreateModel(
            name="Hold",
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
                ("cause", models.CharField(max_length=500)),
                ("on", models.DateField()),
                (
                    "batch",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="holds",
                        to="production.batch",
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
            ],
            options={
                "ordering": ["on", "id"],
            },
        ),
        migrations.CreateModel(
            name="HoldLifted",
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
                ("on", models.DateField()),
                (
                    "deed",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="production.deed",
                    ),
                ),
                (
                    "hold",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="lifts",
                        to="production.hold",
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Item",
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
                ("name", models.CharField(max_length=120, unique=True)),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("material", "material"),
                            ("packaging", "packaging"),
                            ("made", "made here"),
                        ],
                        default="material",
                        max_length=9,
                    ),
                ),
                (
                    "category",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("", "not said"),
                            ("oil", "oil or fatty acid"),
                            ("alkali", "alkali"),
                            ("water", "water"),
                            ("additive", "additive"),
                            ("salt", "salt"),
                            ("acid", "acid"),
                            ("colourant", "colourant"),
                            ("thickener", "thickener"),
                            ("preservative", "preservative"),
                            ("chelator", "chelator"),
                            ("antioxidant", "antioxidant"),
                            ("fragrance", "fragrance"),
                            ("soap", "soap or soap paste"),
                        ],
                        max_length=12,
                    ),
                ),
                (
                    "serves_as",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("", "not said"),
                            ("container", "container"),
                            ("closure", "closure"),
                            ("label", "label"),
                            ("box", "outer box"),
                            ("other", "other packaging"),
                        ],
                        max_length=9,
                        verbose_name="serves as",
                    ),
                ),
                (
                    "unit",
                    models.CharField(
                        choices=[("g", "g"), ("piece", "piece")],
                        default="g",
                        max_length=5,
                    ),
                ),
                (
                    "density",
                    models.DecimalField(
                        blank=True,
                        decimal_places=4,
                        max_digits=7,
                        null=True,
                        verbose_name="density, g/mL",
                    ),
                ),
                (
                    "alkali",
                    models.CharField(
                        blank=True,
                        choices=[("KOH", "KOH"), ("NaOH", "NaOH")],
                        max_length=4,
                    ),
                ),
                (
                    "acid",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("citric", "citric"),
                            ("citric monohydrate", "citric monohydrate"),
                            ("lactic", "lactic"),
                            ("acetic", "acetic"),
                        ],
                        max_length=20,
                    ),
                ),
                (
                    "own_inci",
                    models.CharField(
                        blank=True, max_length=160, verbose_name="own label name"
                    ),
                ),
                (
                    "own_potassium_soap",
                    models.CharField(
                        blank=True,
                        max_length=160,
                        verbose_name="own name of its potassium soap",
                    ),
                ),
                (
                    "most",
                    models.DecimalField(
                        blank=True,
                        decimal_places=5,
                        help_text="As its supplier or the law says; a recipe with more is told so.",
                        max_digits=6,
                        null=True,
                        verbose_name="at most, share of what is made",
                    ),
                ),
                (
                    "ph_low",
                    models.DecimalField(
                        blank=True,
                        decimal_places=2,
                        max_digits=4,
                        null=True,
                        verbose_name="works from pH",
                    ),
                ),
                (
                    "ph_high",
                    models.DecimalField(
                        blank=True,
                        decimal_places=2,
                        max_digits=4,
                        null=True,
                        verbose_name="works up to pH",
                    ),
                ),
                (
                    "needs_check",
                    models.BooleanField(
                        default=False, verbose_name="wait for a check on arrival"
                    ),
                ),
                (
                    "on_tap",
                    models.BooleanField(
                        default=False,
                        help_text="Received and used in one entry, like water.",
                        verbose_name="on tap",
                    ),
                ),
                (
                    "tap_price",
                    production.quantities.fields.MoneyField(
                        blank=True, null=True, verbose_name="price of 1,000 g on tap"
                    ),
                ),
                (
                    "low_at",
                    production.quantities.fields.QuantityField(
                        blank=True,
                        help_text="The start page says so when less than this is released.",
                        null=True,
                        verbose_name="short below",
                    ),
                ),
                (
                    "name_on_label",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        to="production.inciname",
                        verbose_name="label name",
                    ),
                ),
                (
                    "oil",
                    models.ForeignKey(
                        blank=True,
                        help_text="The published oil whose saponification value counts until a lot's own certificate says otherwise.",
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        to="production.referenceoil",
                    ),
                ),
            ],
            options={
                "ordering": ["name"],
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Formula",
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
                ("name", models.CharField(max_length=120, unique=True)),
                (
                    "stage",
                    models.CharField(
                        choices=[
                            ("cook", "cook"),
                            ("preparation", "preparation"),
                            ("dilution", "dilution"),
                            ("finishing", "finishing"),
                            ("filling", "filling"),
                            ("packing", "packing"),
                            ("rework", "rework"),
                        ],
                        max_length=11,
                    ),
                ),
                (
                    "makes",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="formulas",
                        to="production.item",
                    ),
                ),
            ],
            options={
                "ordering": ["name"],
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Loss",
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
                    "kind",
                    models.CharField(
                        choices=[
                            ("steam", "steam"),
                            ("spill", "spill"),
                            ("left on the walls", "left on the walls"),
                            ("bench sample", "bench sample"),
                            ("weighing difference", "weighing difference"),
                            ("burnt", "burnt"),
                            ("dropped", "dropped"),
                            ("boiled over", "boiled over"),
                            ("thrown away", "thrown away"),
                            ("other", "other"),
                        ],
                        max_length=20,
                    ),
                ),
                ("amount", production.quantities.fields.QuantityField()),
                ("on", models.DateField()),
                (
                    "batch",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="losses",
                        to="production.batch",
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
                    "root",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="renamed",
                        to="production.loss",
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "losses",
                "ordering": ["on", "id"],
            },
        ),
        migrations.CreateModel(
            name="LostBatch",
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
                    "kind",
                    models.CharField(
                        choices=[
                            ("steam", "steam"),
                            ("spill", "spill"),
                            ("left on the walls", "left on the walls"),
                            ("bench sample", "bench sample"),
                            ("weighing difference", "weighing difference"),
                            ("burnt", "burnt"),
                            ("dropped", "dropped"),
                            ("boiled over", "boiled over"),
                            ("thrown away", "thrown away"),
                            ("other", "other"),
                        ],
                        max_length=20,
                    ),
                ),
                ("on", models.DateField()),
                (
                    "batch",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="endings",
                        to="production.batch",
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
            ],
            options={
                "ordering": ["id"],
            },
        ),
        migrations.CreateModel(
            name="Lot",
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
                ("code", models.CharField(max_length=60, unique=True)),
                ("supplier_lot", models.CharField(blank=True, max_length=80)),
                ("expires", models.DateField(blank=True, null=True)),
                (
                    "net_mass",
                    production.quantities.fields.QuantityField(
                        blank=True, null=True, verbose_name="net mass of a piece, g"
                    ),
                ),
                (
                    "labelled",
                    models.DateField(
                        blank=True,
                        help_text="The first day on which a label with its code was printed.",
                        null=True,
                    ),
                ),
                (
                    "batch",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="lot",
                        to="production.batch",
                    ),
                ),
                (
                    "deed",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="lots",
                        to="production.deed",
                    ),
                ),
                (
                    "item",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="lots",
                        to="production.item",
                    ),
                ),
            ],
            options={
                "ordering": ["-id"],
            },
        ),
        migrations.AddField(
            model_name="hold",
            name="lot",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="holds",
                to="production.lot",
            ),
        ),
        migrations.CreateModel(
            name="FragranceDocument",
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
                    "edition",
                    models.CharField(
                        max_length=80, verbose_name="version of the document"
                    ),
                ),
                ("dated", models.DateField(blank=True, null=True)),
                (
                    "flash_point",
                    models.DecimalField(
                        blank=True,
                        decimal_places=1,
                        max_digits=5,
                        null=True,
                        verbose_name="flash point, °C",
                    ),
                ),
                (
                    "vanillin",
                    models.DecimalField(
                        blank=True, decimal_places=8, max_digits=9, null=True
                    ),
                ),
                (
                    "most",
                    models.DecimalField(
                        blank=True,
                        decimal_places=8,
                        max_digits=9,
                        null=True,
                        verbose_name="at most, in what is rinsed off",
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
                    "lot",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="documents",
                        to="production.lot",
                    ),
                ),
            ],
            options={
                "ordering": ["-id"],
            },
        ),
        migrations.CreateModel(
            name="Constituent",
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
                ("inci", models.CharField(max_length=160)),
                ("share", models.DecimalField(decimal_places=8, max_digits=9)),
                (
                    "deed",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="production.deed",
                    ),
                ),
                (
                    "document",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="constituents",
                        to="production.fragrancedocument",
                    ),
                ),
                (
                    "lot",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="constituents",
                        to="production.lot",
                    ),
                ),
            ],
            options={
                "ordering": ["-share", "inci"],
            },
        ),
        migrations.CreateModel(
            name="Measurement",
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
                    "what",
                    models.CharField(
                        choices=[
                            ("purity", "Purity"),
                            ("carbonate", "Carbonate"),
                            ("saponification value", "Saponification Value"),
                            ("acid value", "Acid Value"),
                            ("unsaponifiable", "Unsaponifiable"),
                            ("soap content", "Soap Content"),
                            ("neutrality", "Neutrality"),
                            ("free alkali", "Free Alkali"),
                            ("clarity", "Clarity"),
                            ("pH", "Ph"),
                            ("density", "Density"),
                            ("thickness", "Thickness"),
                            ("temperature", "Temperature"),
                            ("mass", "Mass"),
                            ("other", "Other"),
                        ],
                        max_length=24,
                    ),
                ),
                (
                    "basis",
                    models.CharField(
                        choices=[
                            ("stated", "Stated"),
                            ("minimum", "Minimum"),
                            ("measured", "Measured"),
                        ],
                        default="measured",
                        max_length=8,
                    ),
                ),
                (
                    "value",
                    models.DecimalField(
                        blank=True, decimal_places=6, max_digits=14, null=True
                    ),
                ),
                ("passed", models.BooleanField(blank=True, null=True)),
                ("note", models.CharField(blank=True, max_length=300)),
                (
                    "method",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("drop test", "drop test in alcohol"),
                            ("titration", "titration of free caustic alkali"),
                            ("laboratory", "laboratory's report"),
                            ("supplier", "supplier's paper"),
                            ("before", "tested before this book"),
                        ],
                        max_length=10,
                    ),
                ),
                (
                    "where",
                    models.CharField(
                        blank=True,
                        help_text="Spots of the pot, or the paper.",
                        max_length=120,
                        verbose_name="where",
                    ),
                ),
                (
                    "sampled",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("after", "after all of it had gone in"),
                            ("before", "before something went in"),
                        ],
                        max_length=6,
                    ),
                ),
                ("on", models.DateField()),
                (
                    "batch",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="measurements",
                        to="production.batch",
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
                    "lot",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="measurements",
                        to="production.lot",
                    ),
                ),
            ],
            options={
                "ordering": ["on", "id"],
            },
        ),
        migrations.CreateModel(
            name="CheckTakenBack",
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
                    "deed",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="production.deed",
                    ),
                ),
                (
                    "belongs_to",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="checks_found",
                        to="production.lot",
                    ),
                ),
                (
                    "measurement",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="taken_back",
                        to="production.measurement",
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Movement",
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
                ("amount", production.quantities.fields.QuantityField()),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("received", "Received"),
                            ("opening", "Opening"),
                            ("used", "Used"),
                            ("made", "Made"),
                            ("sold", "Sold"),
                            ("returned", "Returned"),
                            ("given", "Given"),
                            ("counted", "Counted"),
                            ("reweighed", "Reweighed"),
                            ("discarded", "Discarded"),
                            ("moved", "Moved"),
                            ("reversed", "Reversed"),
                        ],
                        max_length=9,
                    ),
                ),
                ("on", models.DateField()),
                (
                    "rank",
                    models.BigIntegerField(
                        help_text="The place in the book of the entry that this one corrects.",
                        null=True,
                    ),
                ),
                (
                    "value",
                    production.quantities.fields.MoneyField(
                        help_text="What opening stock or water on tap was worth in all.",
                        null=True,
                    ),
                ),
                ("typed", models.CharField(blank=True, max_length=60)),
                (
                    "batch",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="movements",
                        to="production.batch",
                    ),
                ),
                (
                    "deed",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="movements",
                        to="production.deed",
                    ),
                ),
                (
                    "lot",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="movements",
                        to="production.lot",
                    ),
                ),
                (
                    "reverses",
                    models.OneToOneField(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="reversed_by",
                        to="production.movement",
                    ),
                ),
                (
                    "root",
                    models.ForeignKey(
                        help_text="The first entry of its line, of one that was entered again.",
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="line",
                        to="production.movement",
                    ),
                ),
            ],
            options={
                "ordering": ["on", "id"],
            },
        ),
        migrations.CreateModel(
            name="Given",
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
                    "why",
                    models.CharField(
                        choices=[
                            ("sample", "Sample"),
                            ("laboratory", "sample for a laboratory"),
                            ("tester", "Tester"),
                            ("gift", "Gift"),
                            ("own use", "Own Use"),
                            ("retained", "Retained"),
                        ],
                        max_length=10,
                    ),
                ),
                ("recipient", models.CharField(blank=True, max_length=120)),
                (
                    "deed",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="production.deed",
                    ),
                ),
                (
                    "movement",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="given",
                        to="production.movement",
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Answered",
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
                    "deed",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="production.deed",
                    ),
                ),
                (
                    "movement",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="answered",
                        to="production.movement",
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="OpenPack",
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
                    "deed",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="production.deed",
                    ),
                ),
                (
                    "lot",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="production.lot",
                    ),
                ),
            ],
            options={
                "ordering": ["-id"],
            },
        ),
        migrations.CreateModel(
            name="Place",
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
                ("name", models.CharField(max_length=80, unique=True)),
                (
                    "apart",
                    models.BooleanField(
                        default=False,
                        help_text="What came back stands here, not for sale, to be looked at.",
                    ),
                ),
                (
                    "customer",
                    models.ForeignKey(
                        blank=True,
                        help_text="Whose shop it is, where goods stand with a customer.",
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="places",
                        to="production.customer",
                    ),
                ),
            ],
            options={
                "ordering": ["name"],
                "abstract": False,
            },
        ),
        migrations.AddField(
            model_name="movement",
            name="place",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="production.place",
            ),
        ),
        migrations.CreateModel(
            name="Count",
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
                ("on", models.DateField()),
                ("found", production.quantities.fields.QuantityField()),
                ("booked", production.quantities.fields.QuantityField()),
                ("reweighed", models.BooleanField(default=False)),
                ("position", models.BigIntegerField()),
                ("why", models.CharField(blank=True, max_length=500)),
                (
                    "batch",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="may_have_got",
                        to="production.batch",
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
                    "lot",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="counts",
                        to="production.lot",
                    ),
                ),
                (
                    "entry",
                    models.OneToOneField(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="count",
                        to="production.movement",
                    ),
                ),
                (
                    "place",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="production.place",
                    ),
                ),
            ],
            options={
                "ordering": ["on", "position", "id"],
            },
        ),
        migrations.CreateModel(
            name="Promotion",
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
                    "batch",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="promotions",
                        to="production.batch",
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
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Purchase",
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
                ("number", models.CharField(db_index=True, max_length=60)),
                ("ordered", models.DateField(blank=True, null=True)),
                ("arrived", models.DateField()),
                ("invoiced", models.DateField(blank=True, null=True)),
                (
                    "currency",
                    models.CharField(
                        blank=True, max_length=3, verbose_name="currency of the invoice"
                    ),
                ),
                (
                    "rate",
                    models.DecimalField(
                        decimal_places=8,
                        default=1,
                        max_digits=14,
                        verbose_name="rate of a foreign invoice",
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
                    "supplier",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="purchases",
                        to="production.supplier",
                    ),
                ),
            ],
            options={
                "ordering": ["-arrived", "-id"],
            },
        ),
        migrations.CreateModel(
            name="ExtraCost",
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
                    "kind",
                    models.CharField(
                        choices=[
                            ("freight", "Freight"),
                            ("duty", "Duty"),
                            ("surcharge", "Surcharge"),
                            ("credit", "Credit"),
                        ],
                        max_length=9,
                    ),
                ),
                ("amount", production.quantities.fields.MoneyField()),
                (
                    "by",
                    models.CharField(
                        choices=[
                            ("value", "Value"),
                            ("weight", "Weight"),
                            ("quantity", "Quantity"),
                        ],
                        default="weight",
                        max_length=8,
                    ),
                ),
                ("invoiced", models.DateField()),
                (
                    "currency",
                    models.CharField(
                        blank=True,
                        help_text="Left empty, it is that of the invoice.",
                        max_length=3,
                    ),
                ),
                (
                    "rate",
                    models.DecimalField(
                        blank=True,
                        decimal_places=8,
                        help_text="Its own rate; none where it goes by the rate of the invoice.",
                        max_digits=14,
                        null=True,
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
                    "purchase",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="extra_costs",
                        to="production.purchase",
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
            },
        ),
        migrations.CreateModel(
            name="Attachment",
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
                ("sha256", models.CharField(db_index=True, max_length=64)),
                ("name", models.CharField(max_length=200)),
                ("type", models.CharField(max_length=60)),
                ("size", models.PositiveIntegerField()),
                ("note", models.CharField(blank=True, max_length=200)),
                (
                    "batch",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="attachments",
                        to="production.batch",
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
                    "lot",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="attachments",
                        to="production.lot",
                    ),
                ),
                (
                    "purchase",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="attachments",
                        to="production.purchase",
                    ),
                ),
            ],
            options={
                "ordering": ["-id"],
            },
        ),
        migrations.CreateModel(
            name="PurchaseLine",
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
                ("position", models.PositiveSmallIntegerField()),
                ("text", models.CharField(blank=True, max_length=200)),
                (
                    "amount",
                    production.quantities.fields.QuantityField(blank=True, null=True),
                ),
                (
                    "shipping_weight",
                    production.quantities.fields.QuantityField(blank=True, null=True),
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
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="purchase_lines",
                        to="production.item",
                    ),
                ),
                (
                    "purchase",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="lines",
                        to="production.purchase",
                    ),
                ),
            ],
            options={
                "ordering": ["purchase", "position"],
            },
        ),
        migrations.AddField(
            model_name="lot",
            name="line",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="lots",
                to="production.purchaseline",
            ),
        ),
        migrations.CreateModel(
            name="LinePrice",
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
                ("price", production.quantities.fields.MoneyField()),
                ("tax", production.quantities.fields.MoneyField(default=0)),
                ("recoverable_tax", production.quantities.fields.MoneyField(default=0)),
                (
                    "deed",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="production.deed",
                    ),
                ),
                (
                    "line",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="prices",
                        to="production.purchaseline",
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
            },
        ),
        migrations.CreateModel(
            name="ReferenceComposition",
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
                ("source", models.CharField(max_length=300)),
                ("standing", models.CharField(max_length=20)),
                (
                    "percent_low",
                    models.DecimalField(decimal_places=2, max_digits=6, null=True),
                ),
                (
                    "percent_high",
                    models.DecimalField(decimal_places=2, max_digits=6, null=True),
                ),
                (
                    "percent_typical",
                    models.DecimalField(decimal_places=2, max_digits=6, null=True),
                ),
                ("typical_source", models.CharField(blank=True, max_length=300)),
                ("typical_standing", models.CharField(blank=True, max_length=20)),
                (
                    "acid",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="oils",
                        to="production.referenceacid",
                    ),
                ),
                (
                    "oil",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="acids",
                        to="production.referenceoil",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="ReferenceSalt",
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
                ("source", models.CharField(max_length=300)),
                ("standing", models.CharField(max_length=20)),
                ("formula", models.CharField(max_length=40)),
                (
                    "material",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="salt",
                        to="production.inciname",
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Restated",
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
                    "of",
                    models.CharField(
                        choices=[
                            ("item", "Item"),
                            ("person", "Person"),
                            ("rule", "Rule"),
                            ("purchase", "Purchase"),
                            ("line", "Line"),
                            ("extra cost", "Extra Cost"),
                            ("lot", "Lot"),
                            ("batch", "Batch"),
                            ("sale", "Sale"),
                            ("sale line", "Sale Line"),
                            ("entry", "Entry"),
                            ("given", "Given"),
                            ("reading", "Reading"),
                            ("work", "Work"),
                            ("loss", "Loss"),
                        ],
                        max_length=12,
                    ),
                ),
                ("row", models.PositiveBigIntegerField()),
                ("field", models.CharField(max_length=40)),
                ("before", models.CharField(blank=True, max_length=300)),
                ("value", models.CharField(blank=True, max_length=300)),
                (
                    "deed",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="production.deed",
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
            },
        ),
        migrations.CreateModel(
            name="Restored",
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
                ("taken_at", models.DateTimeField()),
                ("restored_at", models.DateTimeField()),
                ("last", models.JSONField(default=dict)),
                (
                    "deed",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="production.deed",
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
            },
        ),
        migrations.CreateModel(
            name="Return",
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
                ("number", models.CharField(db_index=True, max_length=60)),
                (
                    "then",
                    models.CharField(
                        choices=[
                            ("apart", "put apart, to be looked at"),
                            ("restock", "back into stock"),
                            ("destroy", "destroyed"),
                        ],
                        max_length=7,
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
                    "movement",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="production.movement",
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Looked",
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
                    "seen",
                    models.CharField(
                        choices=[
                            ("sealed", "sealed and fine"),
                            ("opened", "opened"),
                            ("refilled", "refilled"),
                            ("damaged", "damaged"),
                        ],
                        max_length=8,
                    ),
                ),
                ("amount", production.quantities.fields.QuantityField()),
                (
                    "deed",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="production.deed",
                    ),
                ),
                (
                    "back",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="looks",
                        to="production.return",
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
            },
        ),
        migrations.CreateModel(
            name="RuleOfThumb",
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
                    "topic",
                    models.CharField(
                        choices=[
                            ("clear when diluted", "clear when diluted"),
                            ("cloud point", "cloud point"),
                            ("superfat kept clear", "superfat kept clear"),
                            ("responds to brine", "responds to brine"),
                            ("thinned by glycerin", "thinned by glycerin"),
                            ("prone to rancidity", "prone to rancidity"),
                            ("needs soft water", "needs soft water"),
                            ("sequestrant", "sequestrant"),
                            ("preservation and pH", "preservation and pH"),
                        ],
                        max_length=20,
                    ),
                ),
                (
                    "figure",
                    models.CharField(
                        choices=[
                            ("lauric_myristic", "lauric and myristic acid"),
                            ("oleic", "oleic acid"),
                            ("ricinoleic", "ricinoleic acid"),
                            ("linoleic_linolenic", "linoleic and linolenic acid"),
                            ("palmitic_stearic", "palmitic and stearic acid"),
                            ("iodine_value", "iodine value"),
                            ("potassium_share", "potassium share of the soap"),
                            ("superfat", "superfat"),
                            ("soap_content", "soap content"),
                            ("glycerin", "added glycerin"),
                        ],
                        max_length=20,
                    ),
                ),
                (
                    "low",
                    models.DecimalField(
                        blank=True,
                        decimal_places=5,
                        max_digits=9,
                        null=True,
                        verbose_name="from",
                    ),
                ),
                (
                    "high",
                    models.DecimalField(
                        blank=True,
                        decimal_places=5,
                        max_digits=9,
                        null=True,
                        verbose_name="to below",
                    ),
                ),
                ("says", models.CharField(max_length=300)),
                (
                    "source",
                    models.CharField(
                        default="common practice, no source", max_length=300
                    ),
                ),
                (
                    "silent",
                    models.BooleanField(default=False, verbose_name="say nothing"),
                ),
                (
                    "instead_of",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="own",
                        to="production.referenceruleofthumb",
                    ),
                ),
                (
                    "recipe",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="rules_of_thumb",
                        to="production.formula",
                        verbose_name="measured on",
                    ),
                ),
            ],
            options={
                "ordering": ["topic", "id"],
            },
        ),
        migrations.CreateModel(
            name="Sale",
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
                ("number", models.CharField(db_index=True, max_length=60)),
                ("on", models.DateField()),
                ("channel", models.CharField(blank=True, max_length=80)),
                (
                    "customer",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="sales",
                        to="production.customer",
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
            ],
            options={
                "ordering": ["-on", "-id"],
            },
        ),
        migrations.CreateModel(
            name="SaleLine",
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
                ("position", models.PositiveSmallIntegerField()),
                ("amount", production.quantities.fields.QuantityField()),
                (
                    "unit_price",
                    production.quantities.fields.MoneyField(blank=True, null=True),
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
                    "lot",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="sale_lines",
                        to="production.lot",
                    ),
                ),
                (
                    "sale",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="lines",
                        to="production.sale",
                    ),
                ),
            ],
            options={
                "ordering": ["sale", "position"],
            },
        ),
        migrations.AddField(
            model_name="return",
            name="line",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="returns",
                to="production.saleline",
            ),
        ),
        migrations.AddField(
            model_name="movement",
            name="sale_line",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="movements",
                to="production.saleline",
            ),
        ),
        migrations.CreateModel(
            name="SinceBackup",
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
                ("codes", models.TextField(blank=True)),
                ("last", models.JSONField(default=dict)),
                ("to_count", models.JSONField(default=list)),
                (
                    "deed",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="production.deed",
                    ),
                ),
                (
                    "restored",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="answers",
                        to="production.restored",
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
            },
        ),
        migrations.CreateModel(
            name="Status",
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
                    "status",
                    models.CharField(
                        choices=[
                            ("quarantine", "Quarantine"),
                            ("released", "Released"),
                            ("held", "Held"),
                            ("rejected", "Rejected"),
                        ],
                        max_length=10,
                    ),
                ),
                ("on", models.DateField()),
                ("override", models.BooleanField(default=False)),
                (
                    "deed",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="production.deed",
                    ),
                ),
                (
                    "lot",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="statuses",
                        to="production.lot",
                    ),
                ),
            ],
            options={
                "ordering": ["on", "id"],
            },
        ),
        migrations.CreateModel(
            name="Step",
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
                ("text", models.CharField(max_length=300)),
                (
                    "look",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("minutes", "after some minutes"),
                            ("day", "after a day"),
                            ("week", "after a week"),
                        ],
                        max_length=7,
                    ),
                ),
                ("on", models.DateField()),
                (
                    "batch",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="steps",
                        to="production.batch",
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
            ],
            options={
                "ordering": ["on", "id"],
            },
        ),
        migrations.CreateModel(
            name="Stock",
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
                ("amount", production.quantities.fields.QuantityField()),
                (
                    "lot",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="stock",
                        to="production.lot",
                    ),
                ),
                (
                    "place",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="stock",
                        to="production.place",
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
            },
        ),
        migrations.CreateModel(
            name="Version",
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
                ("number", models.PositiveSmallIntegerField()),
                (
                    "superfat",
                    models.DecimalField(
                        blank=True, decimal_places=5, max_digits=6, null=True
                    ),
                ),
                (
                    "lye_excess",
                    models.BooleanField(
                        default=False,
                        verbose_name="lye excess, neutralised after dilution",
                    ),
                ),
                (
                    "koh_share",
                    models.DecimalField(decimal_places=5, default=1, max_digits=6),
                ),
                (
                    "water_per_alkali",
                    models.DecimalField(
                        blank=True, decimal_places=5, max_digits=8, null=True
                    ),
                ),
                (
                    "lye_strength",
                    models.DecimalField(
                        blank=True, decimal_places=5, max_digits=6, null=True
                    ),
                ),
                (
                    "target_soap",
                    models.DecimalField(
                        blank=True, decimal_places=5, max_digits=6, null=True
                    ),
                ),
                (
                    "loss",
                    models.DecimalField(
                        blank=True,
                        decimal_places=5,
                        max_digits=6,
                        null=True,
                        verbose_name="expected loss, share of what goes in",
                    ),
                ),
                (
                    "band",
                    models.DecimalField(
                        decimal_places=5,
                        default=Decimal("0.005"),
                        max_digits=6,
                        verbose_name="weighing band, share of what goes in",
                    ),
                ),
                (
                    "release",
                    models.CharField(
                        choices=[
                            ("check", "by a passed check"),
                            ("hand", "by hand"),
                            ("making", "on making"),
                        ],
                        default="hand",
                        max_length=6,
                    ),
                ),
                (
                    "rest_days",
                    models.PositiveSmallIntegerField(
                        default=0,
                        validators=[django.core.validators.MaxValueValidator(3650)],
                    ),
                ),
                (
                    "shelf_days",
                    models.PositiveIntegerField(
                        blank=True,
                        null=True,
                        validators=[django.core.validators.MaxValueValidator(36500)],
                    ),
                ),
                ("steps", models.TextField(blank=True)),
                ("digest", models.CharField(max_length=64)),
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
                        related_name="versions",
                        to="production.formula",
                    ),
                ),
            ],
            options={
                "ordering": ["formula", "number"],
            },
        ),
        migrations.AddField(
            model_name="batch",
            name="version",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="batches",
                to="production.version",
            ),
        ),
        migrations.CreateModel(
            name="VersionCheck",
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
                ("position", models.PositiveSmallIntegerField()),
                (
                    "what",
                    models.CharField(
                        choices=[
                            ("purity", "Purity"),
                            ("carbonate", "Carbonate"),
                            ("saponification value", "Saponification Value"),
                            ("acid value", "Acid Value"),
                            ("unsaponifiable", "Unsaponifiable"),
                            ("soap content", "Soap Content"),
                            ("neutrality", "Neutrality"),
                            ("free alkali", "Free Alkali"),
                            ("clarity", "Clarity"),
                            ("pH", "Ph"),
                            ("density", "Density"),
                            ("thickness", "Thickness"),
                            ("temperature", "Temperature"),
                            ("mass", "Mass"),
                            ("other", "Other"),
                        ],
                        max_length=24,
                    ),
                ),
                (
                    "low",
                    models.DecimalField(
                        blank=True, decimal_places=6, max_digits=14, null=True
                    ),
                ),
                (
                    "high",
                    models.DecimalField(
                        blank=True, decimal_places=6, max_digits=14, null=True
                    ),
                ),
                ("how", models.CharField(blank=True, max_length=200)),
                (
                    "version",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="checks",
                        to="production.version",
                    ),
                ),
            ],
            options={
                "ordering": ["version", "position"],
            },
        ),
        migrations.CreateModel(
            name="VersionLine",
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
                ("position", models.PositiveSmallIntegerField()),
                (
                    "share",
                    models.DecimalField(
                        blank=True, decimal_places=8, max_digits=12, null=True
                    ),
                ),
                (
                    "each",
                    models.DecimalField(
                        blank=True,
                        decimal_places=3,
                        max_digits=12,
                        null=True,
                        verbose_name="for each piece made",
                    ),
                ),
                (
                    "goes_in",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("", "with the rest"),
                            ("lye", "in the lye"),
                            ("late", "after the cook"),
                        ],
                        max_length=4,
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
                    "version",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="lines",
                        to="production.version",
                    ),
                ),
            ],
            options={
                "ordering": ["version", "position"],
            },
        ),
        migrations.CreateModel(
            name="Vessel",
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
                ("name", models.CharField(max_length=80, unique=True)),
                (
                    "volume",
                    models.DecimalField(
                        decimal_places=1,
                        max_digits=9,
                        verbose_name="holds to the brim, mL",
                    ),
                ),
                (
                    "tare",
                    production.quantities.fields.QuantityField(
                        blank=True, null=True, verbose_name="weighs empty, g"
                    ),
                ),
            ],
            options={
                "ordering": ["name"],
                "abstract": False,
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("volume__gt", 0)),
                        name="a_vessel_holds_something",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("tare__isnull", True), ("tare__gt", 0), _connector="OR"
                        ),
                        name="a_vessel_weighs_something",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Work",
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
                    "kind",
                    models.CharField(
                        choices=[
                            ("labour", "Labour"),
                            ("energy", "Energy"),
                            ("overhead", "Overhead"),
                        ],
                        max_length=8,
                    ),
                ),
                ("hours", production.quantities.fields.HoursField()),
                ("rate", production.quantities.fields.MoneyField()),
                ("on", models.DateField()),
                (
                    "batch",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="work",
                        to="production.batch",
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
                    "reverses",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="reversed_by",
                        to="production.work",
                    ),
                ),
            ],
            options={
                "ordering": ["on", "id"],
            },
        ),
        migrations.CreateModel(
            name="Workshop",
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
                ("name", models.CharField(max_length=120)),
                ("address", models.TextField(blank=True)),
                (
                    "contact",
                    models.CharField(
                        blank=True,
                        help_text="A phone number, web page or address for people who react badly.",
                        max_length=200,
                        verbose_name="contact for reactions",
                    ),
                ),
                ("currency", models.CharField(default="USD", max_length=3)),
                (
                    "zone",
                    models.CharField(
                        default="UTC", max_length=60, verbose_name="time zone"
                    ),
                ),
                (
                    "units",
                    models.CharField(
                        choices=[("metric", "metric"), ("us", "US customary")],
                        default="metric",
                        max_length=6,
                    ),
                ),
                (
                    "paper",
                    models.CharField(
                        choices=[("A4", "A4"), ("Letter", "Letter")],
                        default="A4",
                        max_length=6,
                    ),
                ),
                (
                    "balance_step",
                    production.quantities.fields.QuantityField(
                        blank=True,
                        help_text="What the last digit counts in: it widens the range of a superfat.",
                        null=True,
                        verbose_name="smallest step of the balance, g",
                    ),
                ),
                (
                    "domain",
                    models.CharField(
                        blank=True, max_length=120, verbose_name="web domain"
                    ),
                ),
                (
                    "emergency",
                    models.TextField(
                        blank=True,
                        help_text="Poison centre, ambulance, nearest hospital: one a line.",
                        verbose_name="emergency numbers",
                    ),
                ),
                ("demo", models.BooleanField(default=False, editable=False)),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("pk", 1)), name="workshop_is_one_row"
                    )
                ],
            },
        ),
        migrations.AddIndex(
            model_name="deed",
            index=models.Index(fields=["on", "id"], name="production__on_385f00_idx"),
        ),
        migrations.AddConstraint(
            model_name="loss",
            constraint=models.CheckConstraint(
                condition=models.Q(("amount__gt", 0)), name="loss_is_more_than_nothing"
            ),
        ),
        migrations.AddConstraint(
            model_name="hold",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("batch__isnull", True), ("lot__isnull", False)),
                    models.Q(("batch__isnull", False), ("lot__isnull", True)),
                    _connector="OR",
                ),
                name="a_hold_is_of_a_lot_or_a_batch",
            ),
        ),
        migrations.AddConstraint(
            model_name="measurement",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("lot__isnull", False), ("batch__isnull", False), _connector="OR"
                ),
                name="measurement_is_of_a_lot_or_a_batch",
            ),
        ),
        migrations.AddConstraint(
            model_name="measurement",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("value__isnull", False),
                    ("passed__isnull", False),
                    models.Q(("note", ""), _negated=True),
                    _connector="OR",
                ),
                name="measurement_says_something",
            ),
        ),
        migrations.AddIndex(
            model_name="count",
            index=models.Index(
                fields=["lot", "place", "on", "position"],
                name="production__lot_id_74ad69_idx",
            ),
        ),
        migrations.AddConstraint(
            model_name="count",
            constraint=models.CheckConstraint(
                condition=models.Q(("found__gte", 0)),
                name="nothing_is_found_below_zero",
            ),
        ),
        migrations.AddConstraint(
            model_name="count",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("entry__isnull", True), ("found", models.F("booked"))),
                    models.Q(
                        ("entry__isnull", False),
                        models.Q(("found", models.F("booked")), _negated=True),
                    ),
                    _connector="OR",
                ),
                name="what_differs_is_booked",
            ),
        ),
        migrations.AddConstraint(
            model_name="attachment",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(
                        ("batch__isnull", True),
                        ("lot__isnull", False),
                        ("purchase__isnull", True),
                    ),
                    models.Q(
                        ("batch__isnull", False),
                        ("lot__isnull", True),
                        ("purchase__isnull", True),
                    ),
                    models.Q(
                        ("batch__isnull", True),
                        ("lot__isnull", True),
                        ("purchase__isnull", False),
                    ),
                    _connector="OR",
                ),
                name="attachment_belongs_to_one_thing",
            ),
        ),
        migrations.AddConstraint(
            model_name="purchaseline",
            constraint=models.UniqueConstraint(
                fields=("purchase", "position"), name="one_line_at_each_position"
            ),
        ),
        migrations.AddConstraint(
            model_name="purchaseline",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("amount__gt", 0), ("item__isnull", False)),
                    models.Q(("text", ""), _negated=True),
                    _connector="OR",
                ),
                name="line_names_an_item_or_a_text",
            ),
        ),
        migrations.AddConstraint(
            model_name="purchaseline",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("shipping_weight__isnull", True),
                    ("shipping_weight__gte", 0),
                    _connector="OR",
                ),
                name="shipping_weight_is_not_below_zero",
            ),
        ),
        migrations.AddIndex(
            model_name="lot",
            index=models.Index(
                django.db.models.functions.text.Upper("code"),
                name="lot_by_code_in_any_case",
            ),
        ),
        migrations.AddIndex(
            model_name="lot",
            index=models.Index(
                django.db.models.functions.text.Upper("supplier_lot"),
                name="lot_by_the_suppliers_lot",
            ),
        ),
        migrations.AddConstraint(
            model_name="lot",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("batch__isnull", False), ("line__isnull", False), _negated=True
                ),
                name="lot_has_one_origin",
            ),
        ),
        migrations.AddConstraint(
            model_name="lot",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("net_mass__isnull", True), ("net_mass__gt", 0), _connector="OR"
                ),
                name="a_piece_weighs_something",
            ),
        ),
        migrations.AddConstraint(
            model_name="referencecomposition",
            constraint=models.UniqueConstraint(
                fields=("oil", "acid"), name="one_row_for_each_acid_of_an_oil"
            ),
        ),
        migrations.AddConstraint(
            model_name="item",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("serves_as", ""), ("kind", "packaging"), _connector="OR"
                ),
                name="only_packaging_serves_as_a_part_of_it",
                violation_error_message="Only packaging serves as a container, a closure, a label or a box: choose the kind packaging, or leave it not said.",
            ),
        ),
        migrations.AddIndex(
            model_name="restated",
            index=models.Index(fields=["of", "row"], name="production__of_7d7233_idx"),
        ),
        migrations.AddConstraint(
            model_name="looked",
            constraint=models.CheckConstraint(
                condition=models.Q(("amount__gt", 0)),
                name="a_look_is_at_more_than_nothing",
            ),
        ),
        migrations.AddConstraint(
            model_name="sale",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("customer__isnull", False),
                    models.Q(("channel", ""), _negated=True),
                    _connector="OR",
                ),
                name="sale_leads_to_a_customer_or_a_channel",
            ),
        ),
        migrations.AddConstraint(
            model_name="saleline",
            constraint=models.UniqueConstraint(
                fields=("sale", "position"), name="one_sale_line_at_each_position"
            ),
        ),
        migrations.AddConstraint(
            model_name="saleline",
            constraint=models.CheckConstraint(
                condition=models.Q(("amount__gt", 0)),
                name="sale_line_is_more_than_nothing",
            ),
        ),
        migrations.AddIndex(
            model_name="movement",
            index=models.Index(
                fields=["lot", "on", "id"], name="production__lot_id_2a3fc6_idx"
            ),
        ),
        migrations.AddIndex(
            model_name="movement",
            index=models.Index(
                condition=models.Q(("kind", "used")),
                fields=["lot", "batch"],
                name="edge_from_lot_to_batch",
            ),
        ),
        migrations.AddIndex(
            model_name="movement",
            index=models.Index(
                condition=models.Q(("kind", "used")),
                fields=["batch", "lot"],
                name="edge_from_batch_to_lot",
            ),
        ),
        migrations.AddConstraint(
            model_name="movement",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(
                        ("amount__gt", 0),
                        ("kind__in", ["received", "opening", "made", "returned"]),
                    ),
                    models.Q(
                        ("amount__lt", 0),
                        ("kind__in", ["used", "sold", "given", "discarded"]),
                    ),
                    models.Q(
                        ("kind__in", ["counted", "reweighed", "moved", "reversed"]),
                        models.Q(("amount", 0), _negated=True),
                    ),
                    _connector="OR",
                ),
                name="movement_sign_follows_its_kind",
            ),
        ),
        migrations.AddConstraint(
            model_name="movement",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("kind", "reversed"), ("reverses__isnull", False)),
                    models.Q(
                        models.Q(("kind", "reversed"), _negated=True),
                        ("reverses__isnull", True),
                    ),
                    _connector="OR",
                ),
                name="reversal_names_what_it_reverses",
            ),
        ),
        migrations.AddConstraint(
            model_name="movement",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("batch__isnull", True),
                    ("kind__in", ["used", "made"]),
                    _negated=True,
                ),
                name="batch_entries_name_their_batch",
            ),
        ),
        migrations.AddConstraint(
            model_name="movement",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("kind__in", ["sold", "returned"]),
                    ("sale_line__isnull", True),
                    _negated=True,
                ),
                name="sale_entries_name_their_line",
            ),
        ),
        migrations.AddIndex(
            model_name="status",
            index=models.Index(
                fields=["lot", "-on", "-id"], name="production__lot_id_baff98_idx"
            ),
        ),
        migrations.AddConstraint(
            model_name="stock",
            constraint=models.UniqueConstraint(
                fields=("lot", "place"), name="one_row_of_stock_a_lot_and_place"
            ),
        ),
        migrations.AddConstraint(
            model_name="stock",
            constraint=models.CheckConstraint(
                condition=models.Q(("amount__gte", 0)), name="stock_is_never_below_zero"
            ),
        ),
        migrations.AddIndex(
            model_name="purchase",
            index=models.Index(
                django.db.models.functions.text.Upper("number"),
                name="purchase_in_any_case",
            ),
        ),
        migrations.AddConstraint(
            model_name="version",
            constraint=models.UniqueConstraint(
                fields=("formula", "number"), name="one_version_of_each_number"
            ),
        ),
        migrations.AddConstraint(
            model_name="version",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("superfat__isnull", True),
                    models.Q(("superfat__gt", -1), ("superfat__lt", 1)),
                    _connector="OR",
                ),
                name="superfat_is_a_fraction",
            ),
        ),
        migrations.AddConstraint(
            model_name="version",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("loss__isnull", True),
                    models.Q(("loss__gte", 0), ("loss__lt", 1)),
                    _connector="OR",
                ),
                name="something_is_left_after_the_loss",
                violation_error_message="The expected loss is at least 0 % and below 100 %.",
            ),
        ),
        migrations.AddConstraint(
            model_name="version",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("lye_excess", False), ("superfat__isnull", True)),
                    models.Q(("lye_excess", False), ("superfat__gte", 0)),
                    models.Q(
                        ("lye_excess", True),
                        ("superfat__isnull", False),
                        ("superfat__lt", 0),
                    ),
                    _connector="OR",
                ),
                name="superfat_below_zero_is_declared",
                violation_error_message="Declare a superfat below zero as lye excess, and only that: the paste then burns until it is neutralised.",
            ),
        ),
        migrations.AddConstraint(
            model_name="version",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("water_per_alkali__isnull", True),
                    ("lye_strength__isnull", True),
                    _connector="OR",
                ),
                name="the_lye_water_is_set_once",
                violation_error_message="Set the lye water once: by grams to 1 g of alkali, or by the strength of the lye.",
            ),
        ),
        migrations.AddIndex(
            model_name="batch",
            index=models.Index(
                django.db.models.functions.text.Upper("code"), name="batch_in_any_case"
            ),
        ),
        migrations.AddConstraint(
            model_name="batch",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("follows", False), ("expected__isnull", True), _connector="OR"
                ),
                name="what_is_typed_does_not_follow",
            ),
        ),
        migrations.AddConstraint(
            model_name="versioncheck",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("low__isnull", True),
                    ("high__isnull", True),
                    ("low__lte", models.F("high")),
                    _connector="OR",
                ),
                name="limits_of_a_check_stand_in_order",
                violation_error_message="The lower limit is above the upper one.",
            ),
        ),
        migrations.AddConstraint(
            model_name="work",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("hours__gt", 0), ("reverses__isnull", True)),
                    models.Q(("hours__lt", 0), ("reverses__isnull", False)),
                    _connector="OR",
                ),
                name="only_a_reversal_takes_hours_back",
            ),
        ),
    ]
