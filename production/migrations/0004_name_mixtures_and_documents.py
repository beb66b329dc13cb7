import django.db.models.deletion
from django.db import migrations, models

from production.record.models.ink import install_triggers

INK = ["production_fragrancedocument"]


def guard(apps, schema_editor):
    # SQLite drops the guard with the table that it rebuilds.
    install_triggers(schema_editor.connection, INK)


class Migration(migrations.Migration):
    dependencies = [
        ("production", "0003_workshop_country"),
    ]

    operations = [
        migrations.AddField(
            model_name="fragrancedocument",
            name="no_allergens",
            field=models.BooleanField(
                default=False, verbose_name="holds none of the allergens to be named"
            ),
        ),
        migrations.AddField(
            model_name="item",
            name="own_sodium_soap",
            field=models.CharField(
                blank=True, max_length=160, verbose_name="own name of its sodium soap"
            ),
        ),
        migrations.CreateModel(
            name="MixturePart",
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
                ("inci", models.CharField(max_length=160, verbose_name="label name")),
                ("share", models.DecimalField(decimal_places=8, max_digits=9)),
                (
                    "item",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="mixture",
                        to="production.item",
                    ),
                ),
            ],
            options={
                "ordering": ["-share", "inci"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("item", "inci"), name="a_mixture_names_a_part_once"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("share__gt", 0), ("share__lt", 1)),
                        name="a_part_of_a_mixture_is_above_zero_and_below_the_whole",
                    ),
                ],
            },
        ),
        migrations.RunPython(guard, migrations.RunPython.noop),
    ]
