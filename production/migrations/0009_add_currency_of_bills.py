"""Let a bill have a currency and a rate of its own."""

from django.db import migrations, models

from production.record.models.ink import install_triggers

INK = ["production_extracost"]


def guard(apps, schema_editor):
    """The table may have been rebuilt, and lost its triggers."""
    install_triggers(schema_editor.connection, INK)


class Migration(migrations.Migration):
    dependencies = [
        ("production", "0008_add_stock_and_counts"),
    ]

    operations = [
        migrations.AddField(
            model_name="purchase",
            name="currency",
            field=models.CharField(
                blank=True, max_length=3, verbose_name="currency of the invoice"
            ),
        ),
        migrations.AddField(
            model_name="extracost",
            name="currency",
            field=models.CharField(
                blank=True,
                help_text="Left empty, it is that of the invoice.",
                max_length=3,
            ),
        ),
        migrations.AddField(
            model_name="extracost",
            name="rate",
            field=models.DecimalField(
                blank=True,
                decimal_places=8,
                help_text="Its own rate; none where it goes by the rate of the invoice.",
                max_digits=14,
                null=True,
            ),
        ),
        migrations.RunPython(guard, migrations.RunPython.noop),
    ]
