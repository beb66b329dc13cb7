"""Let what came back stand apart, and keep what somebody saw of it."""

import django.db.models.deletion
from django.db import migrations, models

import production.quantities.fields
from production.record.models.ink import install_triggers

INK = ["production_looked", "production_return"]


def guard(apps, schema_editor):
    """One of these tables is new; the other may have been rebuilt."""
    install_triggers(schema_editor.connection, INK)


class Migration(migrations.Migration):
    dependencies = [
        ("production", "0009_add_currency_of_bills"),
    ]

    operations = [
        migrations.AddField(
            model_name="place",
            name="apart",
            field=models.BooleanField(
                default=False,
                help_text="What came back stands here, not for sale, to be looked at.",
            ),
        ),
        migrations.AlterField(
            model_name="return",
            name="then",
            field=models.CharField(
                choices=[
                    ("apart", "put apart, to be looked at"),
                    ("restock", "back into stock"),
                    ("destroy", "destroyed"),
                ],
                max_length=7,
            ),
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
                    "back",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="looks",
                        to="production.return",
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
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("amount__gt", 0)),
                        name="a_look_is_at_more_than_nothing",
                    )
                ],
            },
        ),
        migrations.RunPython(guard, migrations.RunPython.noop),
    ]
