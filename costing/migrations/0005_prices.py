"""Keep ways of selling, prices from a day on, and the margins that are wanted."""

from decimal import Decimal

import django.db.models.deletion
from django.db import migrations, models

import production.quantities.fields
from production.record.models.ink import install_triggers, lift_triggers

INK = ["costing_price", "costing_target"]


def guard(apps, schema_editor):
    install_triggers(schema_editor.connection, INK)


def unguard(apps, schema_editor):
    lift_triggers(schema_editor.connection, INK)


class Migration(migrations.Migration):
    dependencies = [
        ("costing", "0004_planned_products"),
        ("production", "0004_name_mixtures_and_documents"),
    ]

    operations = [
        migrations.CreateModel(
            name="Channel",
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
                        choices=[("wholesale", "wholesale"), ("retail", "retail")],
                        default="retail",
                        max_length=9,
                    ),
                ),
                (
                    "percent",
                    models.DecimalField(
                        blank=True, decimal_places=8, default=0, max_digits=9
                    ),
                ),
                (
                    "consignment",
                    models.DecimalField(
                        blank=True,
                        decimal_places=8,
                        default=0,
                        max_digits=9,
                        verbose_name="share that the shop keeps",
                    ),
                ),
                (
                    "payment",
                    models.DecimalField(
                        blank=True,
                        decimal_places=8,
                        default=0,
                        max_digits=9,
                        verbose_name="payment fee",
                    ),
                ),
                (
                    "payment_fixed",
                    production.quantities.fields.MoneyField(
                        blank=True,
                        default=0,
                        verbose_name="fixed payment fee of an order",
                    ),
                ),
                (
                    "fixed",
                    production.quantities.fields.MoneyField(
                        blank=True, default=0, verbose_name="fixed for an order"
                    ),
                ),
                (
                    "shipping",
                    production.quantities.fields.MoneyField(
                        blank=True, default=0, verbose_name="shipping that you bear"
                    ),
                ),
                (
                    "pieces_per_order",
                    production.quantities.fields.QuantityField(
                        default=1, verbose_name="pieces of an order"
                    ),
                ),
                (
                    "stall_fee",
                    production.quantities.fields.MoneyField(
                        blank=True, default=0, verbose_name="fee for a day"
                    ),
                ),
                (
                    "pieces_a_day",
                    production.quantities.fields.QuantityField(
                        blank=True, null=True, verbose_name="pieces sold a day"
                    ),
                ),
                (
                    "tax",
                    models.DecimalField(
                        blank=True,
                        decimal_places=8,
                        default=0,
                        max_digits=9,
                        verbose_name="sales tax",
                    ),
                ),
                (
                    "tax_inside",
                    models.BooleanField(
                        default=False, verbose_name="prices are said with the tax"
                    ),
                ),
                (
                    "step",
                    production.quantities.fields.MoneyField(
                        default=Decimal("0.01"), verbose_name="price step"
                    ),
                ),
                (
                    "ending",
                    production.quantities.fields.MoneyField(
                        blank=True, default=0, verbose_name="prices end on"
                    ),
                ),
            ],
            options={
                "ordering": ["name"],
                "abstract": False,
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("pieces_per_order__gt", 0)),
                        name="an_order_of_a_channel_has_pieces",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("ending__gte", 0), ("ending__lt", models.F("step"))
                        ),
                        name="a_price_ends_within_its_step",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Price",
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
                    "price",
                    production.quantities.fields.MoneyField(blank=True, null=True),
                ),
                ("valid_from", models.DateField()),
                (
                    "channel",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="costing.channel",
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
            ],
            options={
                "ordering": ["valid_from", "id"],
                "indexes": [
                    models.Index(
                        fields=["item", "channel", "valid_from"],
                        name="costing_pri_item_id_bf987c_idx",
                    )
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("price__isnull", True), ("price__gt", 0), _connector="OR"
                        ),
                        name="a_price_is_more_than_nothing",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Target",
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
                    "margin",
                    models.DecimalField(
                        blank=True, decimal_places=8, max_digits=9, null=True
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
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="production.item",
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("margin__isnull", True),
                            models.Q(("margin__gte", 0), ("margin__lt", 1)),
                            _connector="OR",
                        ),
                        name="a_margin_is_a_part_of_the_price",
                    )
                ],
            },
        ),
        migrations.RunPython(guard, unguard),
    ]
