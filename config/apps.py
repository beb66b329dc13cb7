from django.apps import AppConfig


class ConfigConfig(AppConfig):
    name = "config"
    verbose_name = "Roof"

    def ready(self):
        """What production asks, and what follows its deeds: it knows nobody above."""
        from config.consequences import watched
        from costing.actions.statements import freeze_statement
        from costing.reads import unit_costs
        from costing.reads.statements import told_with_closings
        from labels.reads.fragrances import list_changes
        from production.exchange.reads.events import TOLD_WITH_CLOSINGS
        from production.pages.views.watched import watched_by
        from production.record.actions.followers import WHEN_CLOSED
        from production.stock.reads import on_labels, value

        value.answered_by(unit_costs)
        on_labels.answered_by(list_changes)
        watched_by(watched)
        WHEN_CLOSED[:] = [freeze_statement]
        TOLD_WITH_CLOSINGS[:] = [told_with_closings]
