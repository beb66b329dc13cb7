"""Taxes of sales and of extra costs, what was paid, what suppliers got back."""

import django.db.models.deletion
from django.db import migrations, models

import production.quantities.fields
from production.record.models.ink import install_triggers

# SQLite drops the guard of a table with the table that it rebuilds.
INK = [
    "production_billpaid",
    "production_extracost",
    "production_movement",
    "production_saleline",
    "production_salepaid",
    "production_sentback",
    "production_suppliercredit",
]


def guard(apps, schema_editor):
    install_triggers(schema_editor.connection, INK)


class Migration(migrations.Migration):
    dependencies = [
        ("production", "0006_rates_and_deposits"),
    ]

    operations = [
        migrations.CreateModel(
            name="BillPaid",
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
                ("amount", production.quantities.fields.MoneyField()),
                ("settles", models.BooleanField(default=False)),
            ],
            options={
                "ordering": ["id"],
            },
        ),
        migrations.CreateModel(
            name="SalePaid",
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
                ("amount", production.quantities.fields.MoneyField()),
                ("settles", models.BooleanField(default=False)),
            ],
            options={
                "ordering": ["id"],
            },
        ),
        migrations.CreateModel(
            name="SentBack",
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
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="SupplierCredit",
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
                    "note",
                    models.CharField(
                        blank=True,
                        max_length=60,
                        verbose_name="number of the credit note",
                    ),
                ),
                ("credit", production.quantities.fields.MoneyField()),
                ("recoverable_tax", production.quantities.fields.MoneyField(default=0)),
            ],
            options={
                "ordering": ["id"],
            },
        ),
        migrations.RemoveConstraint(
            model_name="movement",
            name="movement_sign_follows_its_kind",
        ),
        migrations.AddField(
            model_name="extracost",
            name="recoverable_tax",
            field=production.quantities.fields.MoneyField(default=0),
        ),
        migrations.AddField(
            model_name="sale",
            name="tax_is",
            field=models.CharField(
                choices=[
                    ("on top", "on top of the prices"),
                    ("inside", "in the prices"),
                ],
                default="on top",
                max_length=6,
                verbose_name="the sales tax is",
            ),
        ),
        migrations.AddField(
            model_name="sale",
            name="tax_rate",
            field=models.DecimalField(
                blank=True,
                decimal_places=6,
                max_digits=7,
                null=True,
                verbose_name="sales tax",
            ),
        ),
        migrations.AddField(
            model_name="saleline",
            name="tax",
            field=production.quantities.fields.MoneyField(
                blank=True, help_text="As its paper says; else by the rate.", null=True
            ),
        ),
        migrations.AlterField(
            model_name="movement",
            name="kind",
            field=models.CharField(
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
                    ("sent back", "sent back to the supplier"),
                    ("moved", "Moved"),
                    ("reversed", "Reversed"),
                ],
                max_length=9,
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
                        (
                            "kind__in",
                            ["used", "sold", "given", "discarded", "sent back"],
                        ),
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
        migrations.AddField(
            model_name="billpaid",
            name="deed",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="production.deed",
            ),
        ),
        migrations.AddField(
            model_name="billpaid",
            name="purchase",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="payments",
                to="production.purchase",
            ),
        ),
        migrations.AddField(
            model_name="salepaid",
            name="deed",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="production.deed",
            ),
        ),
        migrations.AddField(
            model_name="salepaid",
            name="sale",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="payments",
                to="production.sale",
            ),
        ),
        migrations.AddField(
            model_name="sentback",
            name="deed",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="production.deed",
            ),
        ),
        migrations.AddField(
            model_name="sentback",
            name="movement",
            field=models.OneToOneField(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="sent_back",
                to="production.movement",
            ),
        ),
        migrations.AddField(
            model_name="suppliercredit",
            name="deed",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="production.deed",
            ),
        ),
        migrations.AddField(
            model_name="suppliercredit",
            name="sent",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="credits",
                to="production.sentback",
            ),
        ),
        migrations.AddConstraint(
            model_name="billpaid",
            constraint=models.CheckConstraint(
                condition=models.Q(("amount", 0), _negated=True),
                name="paid_for_a_purchase_is_not_nothing",
            ),
        ),
        migrations.AddConstraint(
            model_name="salepaid",
            constraint=models.CheckConstraint(
                condition=models.Q(("amount", 0), _negated=True),
                name="paid_for_a_sale_is_not_nothing",
            ),
        ),
        migrations.AddConstraint(
            model_name="suppliercredit",
            constraint=models.CheckConstraint(
                condition=models.Q(("credit__gte", 0), ("recoverable_tax__gte", 0)),
                name="a_supplier_credits_no_less_than_nothing",
            ),
        ),
        migrations.RunPython(guard, migrations.RunPython.noop),
    ]
