from django.apps import AppConfig


class ConfigConfig(AppConfig):
    name = "config"
    verbose_name = "Roof"

    def ready(self):
        """Name what follows a deed of production: it knows nobody above itself."""
        from costing.actions import freeze_statement
        from costing.reads.statements import told_with_closings
        from production.actions.followers import WHEN_CLOSED
        from production.reads.history.told import TOLD_WITH_CLOSINGS

        WHEN_CLOSED[:] = [freeze_statement]
        TOLD_WITH_CLOSINGS[:] = [told_with_closings]
