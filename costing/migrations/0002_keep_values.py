"""Keep the value of each lot, of what left it, and of each month."""

import django.db.models.deletion
from django.db import migrations, models

import production.quantities.fields


class Migration(migrations.Migration):
    dependencies = [
        ("costing", "0001_initial"),
        ("production", "0005_lot_component"),
    ]

    operations = [
        migrations.CreateModel(
            name="KeptBy",
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
                ("version", models.CharField(max_length=40)),
            ],
            options={
                "verbose_name_plural": "kept by",
            },
        ),
        migrations.CreateModel(
            name="KeptBatch",
            fields=[
                (
                    "batch",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        primary_key=True,
                        related_name="+",
                        serialize=False,
                        to="production.batch",
                    ),
                ),
                ("level", models.PositiveIntegerField(default=0)),
                ("first", models.DateField(null=True)),
                ("last", models.DateField(null=True)),
                ("ended", models.DateField(null=True)),
                ("lost", models.DateField(null=True)),
                ("tried", models.BooleanField(default=False)),
                ("accepted", models.DateField(null=True)),
                ("inside", models.JSONField(default=dict)),
                ("missing", models.JSONField(default=list)),
            ],
            options={
                "verbose_name_plural": "kept batches",
                "ordering": ["batch_id"],
                "indexes": [
                    models.Index(
                        fields=["ended", "first"], name="costing_kep_ended_f02277_idx"
                    ),
                    models.Index(
                        condition=models.Q(("last__gt", models.F("first"))),
                        fields=["first", "last"],
                        name="kept_batch_of_several_days",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="KeptLot",
            fields=[
                (
                    "lot",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        primary_key=True,
                        related_name="+",
                        serialize=False,
                        to="production.lot",
                    ),
                ),
                ("level", models.PositiveIntegerField(default=0)),
                ("began", models.DateField(null=True)),
                ("settled", models.DateField(null=True)),
                ("last", models.DateField(null=True)),
                ("ended", models.DateField(null=True)),
                ("unknown", models.DateField(null=True)),
                ("tried", models.BooleanField(default=False)),
                ("accepted", models.DateField(null=True)),
                ("started", production.quantities.fields.QuantityField()),
                ("total", models.JSONField(default=dict)),
                ("start", models.JSONField(default=dict)),
                ("abnormal", models.JSONField(default=dict)),
                ("left", models.JSONField(default=dict)),
                ("amount_left", production.quantities.fields.QuantityField()),
                ("rate", models.JSONField(default=dict)),
                ("rate_amount", production.quantities.fields.QuantityField()),
                ("last_parts", models.JSONField(default=dict)),
                ("last_amount", production.quantities.fields.QuantityField()),
                ("reweighed", models.BooleanField(default=False)),
                ("missing", models.JSONField(default=list)),
            ],
            options={
                "ordering": ["lot_id"],
                "indexes": [
                    models.Index(
                        fields=["ended", "began"], name="costing_kep_ended_efdffb_idx"
                    ),
                    models.Index(
                        condition=models.Q(("settled__gt", models.F("began"))),
                        fields=["began", "settled"],
                        name="kept_lot_that_grew_later",
                    ),
                    models.Index(
                        condition=models.Q(("unknown__isnull", False)),
                        fields=["unknown"],
                        name="kept_lot_of_unknown_cost",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="KeptMonth",
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
                ("month", models.DateField()),
                ("account", models.CharField(max_length=40)),
                ("money", models.BigIntegerField()),
                ("nano", models.BigIntegerField()),
            ],
            options={
                "ordering": ["month", "account"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("month", "account"), name="one_sum_a_month_and_account"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="KeptFlow",
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
                ("out_of", models.CharField(max_length=40)),
                ("into", models.CharField(max_length=40)),
                ("money", models.BigIntegerField()),
                ("nano", models.BigIntegerField()),
                ("parts", models.JSONField(default=dict)),
                (
                    "batch",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="production.batch",
                    ),
                ),
                (
                    "lot",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="production.lot",
                    ),
                ),
                (
                    "movement",
                    models.OneToOneField(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="production.movement",
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
                "indexes": [
                    models.Index(fields=["on"], name="costing_kep_on_316384_idx"),
                    models.Index(
                        fields=["into", "on"], name="costing_kep_into_6354b3_idx"
                    ),
                    models.Index(
                        fields=["lot", "on"], name="costing_kep_lot_id_502003_idx"
                    ),
                    models.Index(
                        fields=["batch", "on"], name="costing_kep_batch_i_a1f637_idx"
                    ),
                ],
            },
        ),
    ]
