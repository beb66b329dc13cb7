from django.apps import AppConfig
from django.db.models.signals import post_migrate


def load_reference(sender, using, **kwargs):
    """Bring the published tables and the two groups in with every migrate.

    Not into the tables of an older book, which may lack what the published ones have:
    they are loaded when it is brought up to date.
    """
    from django.contrib.auth.models import Group
    from django.db import connections
    from django.db.migrations.executor import MigrationExecutor

    from production.chemistry.actions import load_reference_tables
    from production.chemistry.files import reference_table
    from production.record.actions.people import MAKER, OWNER

    executor = MigrationExecutor(connections[using])
    if executor.migration_plan(executor.loader.graph.leaf_nodes(sender.label)):
        return
    load_reference_tables(reference_table)
    for name in (OWNER, MAKER):
        Group.objects.get_or_create(name=name)


class ProductionConfig(AppConfig):
    name = "production"

    def ready(self):
        post_migrate.connect(load_reference, sender=self)
