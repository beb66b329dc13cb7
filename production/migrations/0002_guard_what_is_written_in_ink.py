"""What is written in ink is never changed: the database refuses it, too."""

from django.db import migrations

from production.record.models.ink import install_triggers, lift_triggers

INK = [
    "production_answered",
    "production_attachment",
    "production_checktakenback",
    "production_closing",
    "production_constituent",
    "production_count",
    "production_deed",
    "production_extracost",
    "production_fragrancedocument",
    "production_given",
    "production_hold",
    "production_holdlifted",
    "production_lineprice",
    "production_looked",
    "production_loss",
    "production_lostbatch",
    "production_measurement",
    "production_movement",
    "production_openpack",
    "production_promotion",
    "production_purchaseline",
    "production_restated",
    "production_restored",
    "production_return",
    "production_saleline",
    "production_sincebackup",
    "production_status",
    "production_step",
    "production_version",
    "production_versioncheck",
    "production_versionline",
    "production_work",
]


def guard(apps, schema_editor):
    install_triggers(schema_editor.connection, INK)


def unguard(apps, schema_editor):
    lift_triggers(schema_editor.connection, INK)


class Migration(migrations.Migration):
    dependencies = [("production", "0001_initial")]

    operations = [migrations.RunPython(guard, unguard)]
