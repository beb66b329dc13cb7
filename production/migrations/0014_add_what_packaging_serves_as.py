"""Let packaging say which part it plays: container, closure, label, box or another."""

from collections import defaultdict

from django.db import migrations, models

SERVES = [
    ("", "not said"),
    ("container", "container"),
    ("closure", "closure"),
    ("label", "label"),
    ("box", "outer box"),
    ("other", "other packaging"),
]


def as_craft_days_took_it(apps, schema_editor):
    """What the page of a craft day took each for in the latest filling recipes.

    What it took for two different parts, or had no box for, stays not said.
    """
    Version = apps.get_model("production", "Version")
    Line = apps.get_model("production", "VersionLine")
    Item = apps.get_model("production", "Item")
    latest = {}
    fillings = Version.objects.filter(formula__stage="filling")
    for version in fillings.order_by("number"):
        latest[version.formula_id] = version.pk
    lines = Line.objects.filter(
        version__in=latest.values(), item__kind="packaging"
    ).select_related("item")
    boxes, found = defaultdict(set), defaultdict(set)
    for line in lines.order_by("version", "position"):
        box = _box_of(line.item.name, boxes[line.version_id])
        boxes[line.version_id].add(box)
        found[box].add(line.item_id)
    for box, items in found.items():
        others = set().union(*(found[other] for other in found if other != box))
        Item.objects.filter(pk__in=items - others).update(serves_as=box)


def _box_of(name, taken):
    if "label" in name.lower():
        return "label"
    return next((box for box in ("container", "closure") if box not in taken), "")


class Migration(migrations.Migration):
    dependencies = [
        ("production", "0013_add_recipe_and_rank_of_rules"),
    ]

    operations = [
        migrations.AddField(
            model_name="item",
            name="serves_as",
            field=models.CharField(
                blank=True,
                choices=SERVES,
                default="",
                max_length=9,
                verbose_name="serves as",
            ),
            preserve_default=False,
        ),
        migrations.AddConstraint(
            model_name="item",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("serves_as", ""), ("kind", "packaging"), _connector="OR"
                ),
                name="only_packaging_serves_as_a_part_of_it",
                violation_error_message="Only packaging serves as a container, a "
                "closure, a label or a box: choose the kind packaging, or leave it "
                "not said.",
            ),
        ),
        migrations.RunPython(as_craft_days_took_it, migrations.RunPython.noop),
    ]
