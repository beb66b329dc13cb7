from django.apps import AppConfig
from django.db.models.signals import post_migrate


def furnish(sender, **kwargs):
    """Bring the published tables and the two groups in with every migrate."""
    from django.contrib.auth.models import Group

    from production.actions.people import MAKER, OWNER
    from production.actions.reference import load_reference_tables
    from production.files import reference_table

    load_reference_tables(reference_table)
    for name in (OWNER, MAKER):
        Group.objects.get_or_create(name=name)


class ProductionConfig(AppConfig):
    name = "production"

    def ready(self):
        post_migrate.connect(furnish, sender=self)
