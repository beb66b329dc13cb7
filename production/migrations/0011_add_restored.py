"""Keep that the book was restored from a backup, and what was said of the time since."""

import django.db.models.deletion
from django.db import migrations, models

from production.record.models.ink import install_triggers

INK = ["production_restored", "production_sincebackup"]


def guard(apps, schema_editor):
    install_triggers(schema_editor.connection, INK)


class Migration(migrations.Migration):
    dependencies = [
        ("production", "0010_add_what_came_back"),
    ]

    operations = [
        migrations.CreateModel(
            name="Restored",
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
                ("taken_at", models.DateTimeField()),
                ("restored_at", models.DateTimeField()),
                ("last", models.JSONField(default=dict)),
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
            },
        ),
        migrations.CreateModel(
            name="SinceBackup",
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
                ("codes", models.TextField(blank=True)),
                ("last", models.JSONField(default=dict)),
                ("to_count", models.JSONField(default=list)),
                (
                    "deed",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="production.deed",
                    ),
                ),
                (
                    "restored",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="answers",
                        to="production.restored",
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
            },
        ),
        migrations.RunPython(guard, migrations.RunPython.noop),
    ]
