"""What labels say in ink is never changed: the database refuses it, too."""

from django.db import migrations

from production.record.models.ink import install_triggers, lift_triggers

INK = [
    "labels_assessedfragrance",
    "labels_assessedrecipe",
    "labels_assessment",
    "labels_causeapproved",
    "labels_issuedlabel",
    "labels_kinddecision",
    "labels_labelcount",
    "labels_labelwithdrawn",
    "labels_reprint",
    "labels_textapproved",
]


def guard(apps, schema_editor):
    install_triggers(schema_editor.connection, INK)


def unguard(apps, schema_editor):
    lift_triggers(schema_editor.connection, INK)


class Migration(migrations.Migration):
    dependencies = [("labels", "0001_initial")]

    operations = [migrations.RunPython(guard, unguard)]
