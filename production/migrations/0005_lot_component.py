"""Freeze on each lot what it counts as in the cost, as its item stands now."""

from django.db import migrations, models

ADDITIVES = (
    "salt",
    "acid",
    "colourant",
    "thickener",
    "preservative",
    "chelator",
    "antioxidant",
)


def component_of(kind, category):
    if kind == "packaging":
        return "packaging"
    if category in ADDITIVES:
        return "additive"
    return "material" if category == "soap" else category or "material"


def freeze(apps, schema_editor):
    lots = apps.get_model("production", "Lot").objects
    items = apps.get_model("production", "Item").objects
    for pk, kind, category in items.values_list("pk", "kind", "category"):
        lots.filter(item=pk).update(component=component_of(kind, category))


class Migration(migrations.Migration):
    dependencies = [
        ("production", "0004_name_mixtures_and_documents"),
    ]

    operations = [
        migrations.AddField(
            model_name="lot",
            name="component",
            field=models.CharField(
                blank=True,
                default="",
                help_text="As its item stood on arrival: a later card costs no old "
                "lot anew.",
                max_length=12,
                verbose_name="counts in the cost as",
            ),
            preserve_default=False,
        ),
        migrations.RunPython(freeze, migrations.RunPython.noop),
    ]
