"""Let every typed figure be said anew, not only the facts of a card."""

from django.db import migrations, models

from production.record.models.ink import install_triggers

INK = ["production_restated"]
FIGURES = [
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
]


def guard(apps, schema_editor):
    """The table may have been rebuilt, and lost its triggers."""
    install_triggers(schema_editor.connection, INK)


class Migration(migrations.Migration):
    dependencies = [
        ("production", "0006_add_losses_by_name"),
    ]

    operations = [
        migrations.AlterField(
            model_name="restated",
            name="of",
            field=models.CharField(choices=FIGURES, max_length=12),
        ),
        migrations.RunPython(guard, migrations.RunPython.noop),
    ]
