"""Let numbers be used again, and keep on which day a lot got its first label."""

from django.db import migrations, models

from production.record.models.ink import install_triggers

INK = ["production_return", "production_purchaseline", "production_saleline"]


def guard(apps, schema_editor):
    """Each of these tables may have been rebuilt, and lost its triggers."""
    install_triggers(schema_editor.connection, INK)


class Migration(migrations.Migration):
    dependencies = [
        ("production", "0004_add_looking_up_in_any_case"),
    ]

    operations = [
        migrations.AddField(
            model_name="lot",
            name="labelled",
            field=models.DateField(
                blank=True,
                help_text="The first day on which a label with its code was printed.",
                null=True,
            ),
        ),
        migrations.AlterField(
            model_name="purchase",
            name="number",
            field=models.CharField(db_index=True, max_length=60),
        ),
        migrations.AlterField(
            model_name="return",
            name="number",
            field=models.CharField(db_index=True, max_length=60),
        ),
        migrations.AlterField(
            model_name="sale",
            name="number",
            field=models.CharField(db_index=True, max_length=60),
        ),
        migrations.RunPython(guard, migrations.RunPython.noop),
    ]
