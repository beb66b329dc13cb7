"""Keep the statement of each closed month as it was written."""

import django.db.models.deletion
from django.db import migrations, models

from production.record.models.ink import install_triggers

INK = ["costing_statement"]


def guard(apps, schema_editor):
    install_triggers(schema_editor.connection, INK)


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("production", "0002_guard_what_is_written_in_ink"),
    ]

    operations = [
        migrations.CreateModel(
            name="Statement",
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
                ("text", models.TextField()),
                ("sha256", models.CharField(max_length=64)),
                (
                    "closing",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="production.closing",
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
                "ordering": ["closing"],
            },
        ),
        migrations.RunPython(guard, migrations.RunPython.noop),
    ]
