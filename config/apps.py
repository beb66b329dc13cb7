from django.apps import AppConfig, apps
from django.db.models.signals import post_migrate


def keep_values_of_old_book(using, **kwargs):
    """A book from before values were kept gets them, once it is brought up to date."""
    from django.conf import settings
    from django.db import DEFAULT_DB_ALIAS

    from config.health import unapplied
    from costing.actions.keeping import keep_if_none

    if using == DEFAULT_DB_ALIAS and not unapplied():
        keep_if_none(settings.VERSION)


class ConfigConfig(AppConfig):
    name = "config"
    verbose_name = "Roof"

    def ready(self):
        """What production asks, and what follows its deeds: it knows nobody above."""
        from config.consequences import watched
        from costing.actions.keeping import keep_values
        from costing.actions.statements import freeze_statement
        from costing.reads import unit_costs
        from costing.reads.prices import priced_in
        from costing.reads.statements import told_with_closings
        from labels.reads.fragrances import list_changes
        from production.correcting.reads.about import TOLD_ABOVE
        from production.exchange.reads.events import TOLD_WITH_CLOSINGS
        from production.pages.views.watched import watched_by
        from production.record.actions.followers import WHEN_CLOSED, WHEN_DONE
        from production.stock.reads import on_labels, value

        costing = apps.get_app_config("costing")
        post_migrate.connect(keep_values_of_old_book, sender=costing)
        value.answered_by(unit_costs)
        on_labels.answered_by(list_changes)
        WHEN_DONE[:] = [keep_values]
        watched_by(watched)
        WHEN_CLOSED[:] = [freeze_statement]
        TOLD_WITH_CLOSINGS[:] = [told_with_closings]
        TOLD_ABOVE[:] = [priced_in]
