import django.db.models.deletion
from django.db import migrations, models

import production.quantities.fields
from production.record.models.ink import install_triggers

# SQLite drops the guard with a table that it rebuilds.
INK = [
    "production_emptyback",
    "production_hourrate",
    "production_overhead",
    "production_overheadpaid",
    "production_saleline",
    "production_tariff",
    "production_work",
]


def guard(apps, schema_editor):
    install_triggers(schema_editor.connection, INK)


class Migration(migrations.Migration):
    dependencies = [
        ("production", "0005_lot_component"),
    ]

    operations = [
        migrations.CreateModel(
            name="EmptyBack",
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
                ("channel", models.CharField(blank=True, max_length=80)),
                (
                    "deposit",
                    production.quantities.fields.MoneyField(
                        verbose_name="deposit paid back for one"
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "empties back",
                "ordering": ["id"],
            },
        ),
        migrations.CreateModel(
            name="Equipment",
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
                    "power",
                    models.DecimalField(
                        decimal_places=3, max_digits=7, verbose_name="draws, kW"
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "equipment",
                "ordering": ["name"],
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="HourRate",
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
                ("person", models.CharField(max_length=80)),
                ("rate", production.quantities.fields.MoneyField()),
                ("unpaid", models.BooleanField(default=False)),
                ("since", models.DateField()),
            ],
            options={
                "ordering": ["since", "id"],
            },
        ),
        migrations.CreateModel(
            name="Overhead",
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
                ("year", models.PositiveSmallIntegerField()),
                ("budget", production.quantities.fields.MoneyField()),
                (
                    "normal",
                    production.quantities.fields.HoursField(
                        verbose_name="hours of work in a normal year"
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "overhead",
                "ordering": ["year", "id"],
            },
        ),
        migrations.CreateModel(
            name="OverheadPaid",
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
                ("year", models.PositiveSmallIntegerField()),
                ("actual", production.quantities.fields.MoneyField()),
            ],
            options={
                "verbose_name_plural": "overhead paid",
                "ordering": ["year", "id"],
            },
        ),
        migrations.CreateModel(
            name="Tariff",
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
                ("since", models.DateField()),
            ],
            options={
                "ordering": ["since", "id"],
            },
        ),
        migrations.AddField(
            model_name="saleline",
            name="deposit",
            field=production.quantities.fields.MoneyField(
                blank=True, null=True, verbose_name="deposit on one"
            ),
        ),
        migrations.AddField(
            model_name="work",
            name="equipment",
            field=models.CharField(blank=True, default="", max_length=80),
        ),
        migrations.AddField(
            model_name="work",
            name="person",
            field=models.CharField(blank=True, default="", max_length=80),
        ),
        migrations.AddField(
            model_name="work",
            name="power",
            field=models.DecimalField(
                blank=True,
                decimal_places=3,
                max_digits=7,
                null=True,
                verbose_name="draws, kW",
            ),
        ),
        migrations.AlterField(
            model_name="work",
            name="kind",
            field=models.CharField(
                choices=[
                    ("labour", "Labour"),
                    ("energy", "Energy"),
                    ("overhead", "Overhead"),
                    ("unpaid", "an owner's unpaid time"),
                ],
                max_length=8,
            ),
        ),
        migrations.AddConstraint(
            model_name="saleline",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("deposit__isnull", True), ("deposit__gte", 0), _connector="OR"
                ),
                name="a_deposit_is_no_less_than_nothing",
            ),
        ),
        migrations.AddConstraint(
            model_name="work",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("power__isnull", True), ("power__gt", 0), _connector="OR"
                ),
                name="what_draws_power_draws_more_than_nothing",
            ),
        ),
        migrations.AddField(
            model_name="emptyback",
            name="customer",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="empties",
                to="production.customer",
            ),
        ),
        migrations.AddField(
            model_name="emptyback",
            name="deed",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="production.deed",
            ),
        ),
        migrations.AddField(
            model_name="emptyback",
            name="movement",
            field=models.OneToOneField(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="production.movement",
            ),
        ),
        migrations.AddConstraint(
            model_name="equipment",
            constraint=models.CheckConstraint(
                condition=models.Q(("power__gt", 0)), name="equipment_draws_something"
            ),
        ),
        migrations.AddField(
            model_name="hourrate",
            name="deed",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="production.deed",
            ),
        ),
        migrations.AddField(
            model_name="overhead",
            name="deed",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="production.deed",
            ),
        ),
        migrations.AddField(
            model_name="overheadpaid",
            name="deed",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="production.deed",
            ),
        ),
        migrations.AddField(
            model_name="tariff",
            name="deed",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="production.deed",
            ),
        ),
        migrations.AddConstraint(
            model_name="emptyback",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("customer__isnull", False),
                    models.Q(("channel", ""), _negated=True),
                    _connector="OR",
                ),
                name="empties_lead_to_a_customer_or_a_channel",
            ),
        ),
        migrations.AddConstraint(
            model_name="emptyback",
            constraint=models.CheckConstraint(
                condition=models.Q(("deposit__gte", 0)),
                name="what_is_paid_back_is_no_less_than_nothing",
            ),
        ),
        migrations.AddConstraint(
            model_name="hourrate",
            constraint=models.CheckConstraint(
                condition=models.Q(("rate__gte", 0)),
                name="an_hour_costs_no_less_than_nothing",
            ),
        ),
        migrations.AddConstraint(
            model_name="overhead",
            constraint=models.CheckConstraint(
                condition=models.Q(("budget__gte", 0), ("normal__gt", 0)),
                name="a_normal_year_has_hours_of_work",
            ),
        ),
        migrations.AddConstraint(
            model_name="overheadpaid",
            constraint=models.CheckConstraint(
                condition=models.Q(("actual__gte", 0)),
                name="overhead_paid_is_no_less_than_nothing",
            ),
        ),
        migrations.AddConstraint(
            model_name="tariff",
            constraint=models.CheckConstraint(
                condition=models.Q(("price__gte", 0)),
                name="power_costs_no_less_than_nothing",
            ),
        ),
        migrations.RunPython(guard, migrations.RunPython.noop),
    ]
