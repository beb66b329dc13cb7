"""Keep what is in stock, and what was found when somebody looked."""

import django.db.models.deletion
from django.db import migrations, models

import production.quantities.fields
from production.record.models.ink import install_triggers

INK = ["production_count"]
FILL = """
INSERT INTO production_stock (lot_id, place_id, amount)
SELECT lot_id, place_id, SUM(amount) FROM production_movement
GROUP BY lot_id, place_id ORDER BY lot_id, place_id
"""


def fill(apps, schema_editor):
    """One row a lot and place, from the entries that are there."""
    schema_editor.execute(FILL)


def guard(apps, schema_editor):
    install_triggers(schema_editor.connection, INK)


class Migration(migrations.Migration):
    dependencies = [
        ("production", "0007_add_figures_put_right"),
    ]

    operations = [
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
                    "entry",
                    models.OneToOneField(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="count",
                        to="production.movement",
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
                "indexes": [
                    models.Index(
                        fields=["lot", "place", "on", "position"],
                        name="production__lot_id_74ad69_idx",
                    )
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("found__gte", 0)),
                        name="nothing_is_found_below_zero",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("entry__isnull", True), ("found", models.F("booked"))
                            ),
                            models.Q(
                                ("entry__isnull", False),
                                models.Q(("found", models.F("booked")), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="what_differs_is_booked",
                    ),
                ],
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
                "constraints": [
                    models.UniqueConstraint(
                        fields=("lot", "place"), name="one_row_of_stock_a_lot_and_place"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("amount__gte", 0)),
                        name="stock_is_never_below_zero",
                    ),
                ],
            },
        ),
        migrations.RunPython(fill, migrations.RunPython.noop),
        migrations.RunPython(guard, migrations.RunPython.noop),
    ]
