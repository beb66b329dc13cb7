"""Name what was lost and name it anew; lose a batch whole; let a yield follow."""

import django.db.models.deletion
from django.db import migrations, models

from production.record.models.ink import install_triggers

INK = ["production_loss", "production_lostbatch"]


def guard(apps, schema_editor):
    """A rebuilt table has lost its triggers, and a new one has none yet."""
    install_triggers(schema_editor.connection, INK)


class Migration(migrations.Migration):
    dependencies = [
        ("production", "0005_add_papers_taken_back"),
    ]

    operations = [
        migrations.CreateModel(
            name="LostBatch",
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
                    "kind",
                    models.CharField(
                        choices=[
                            ("steam", "steam"),
                            ("spill", "spill"),
                            ("left on the walls", "left on the walls"),
                            ("bench sample", "bench sample"),
                            ("weighing difference", "weighing difference"),
                            ("burnt", "burnt"),
                            ("dropped", "dropped"),
                            ("boiled over", "boiled over"),
                            ("thrown away", "thrown away"),
                            ("other", "other"),
                        ],
                        max_length=20,
                    ),
                ),
                ("on", models.DateField()),
            ],
            options={
                "ordering": ["id"],
            },
        ),
        migrations.AddField(
            model_name="batch",
            name="follows",
            field=models.BooleanField(default=False),
        ),
        migrations.AddField(
            model_name="loss",
            name="root",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="renamed",
                to="production.loss",
            ),
        ),
        migrations.AlterField(
            model_name="loss",
            name="kind",
            field=models.CharField(
                choices=[
                    ("steam", "steam"),
                    ("spill", "spill"),
                    ("left on the walls", "left on the walls"),
                    ("bench sample", "bench sample"),
                    ("weighing difference", "weighing difference"),
                    ("burnt", "burnt"),
                    ("dropped", "dropped"),
                    ("boiled over", "boiled over"),
                    ("thrown away", "thrown away"),
                    ("other", "other"),
                ],
                max_length=20,
            ),
        ),
        migrations.AddConstraint(
            model_name="batch",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("follows", False), ("expected__isnull", True), _connector="OR"
                ),
                name="what_is_typed_does_not_follow",
            ),
        ),
        migrations.AddField(
            model_name="lostbatch",
            name="batch",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="endings",
                to="production.batch",
            ),
        ),
        migrations.AddField(
            model_name="lostbatch",
            name="deed",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="production.deed",
            ),
        ),
        migrations.RunPython(guard, migrations.RunPython.noop),
    ]
