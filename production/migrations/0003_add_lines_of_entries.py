"""Tell a resend from other content, and an entry entered again from its first one."""

import django.db.models.deletion
from django.db import migrations, models

from production.record.models.ink import install_triggers

INK = [
    "production_deed",
    "production_holdlifted",
    "production_movement",
    "production_promotion",
    "production_restated",
]


def guard(apps, schema_editor):
    """Each of these tables may have been rebuilt, and lost its triggers."""
    install_triggers(schema_editor.connection, INK)


class Migration(migrations.Migration):
    dependencies = [
        ("production", "0002_add_holds_and_checks"),
    ]

    operations = [
        migrations.AddField(
            model_name="deed",
            name="typed",
            field=models.CharField(blank=True, max_length=64),
        ),
        migrations.AddField(
            model_name="movement",
            name="root",
            field=models.ForeignKey(
                help_text="The first entry of its line, of one that was entered again.",
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="line",
                to="production.movement",
            ),
        ),
        migrations.AlterField(
            model_name="restated",
            name="of",
            field=models.CharField(
                choices=[("item", "Item"), ("person", "Person"), ("rule", "Rule")],
                max_length=12,
            ),
        ),
        migrations.AlterField(
            model_name="holdlifted",
            name="hold",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="lifts",
                to="production.hold",
            ),
        ),
        migrations.AlterField(
            model_name="promotion",
            name="batch",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="promotions",
                to="production.batch",
            ),
        ),
        migrations.RunPython(guard, migrations.RunPython.noop),
    ]
