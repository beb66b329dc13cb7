from django.apps import AppConfig


class ConfigConfig(AppConfig):
    name = "config"
    verbose_name = "Roof"

    def ready(self):
        """Production asks what goods are worth, and knows not whom."""
        from costing.reads import unit_costs
        from production.reads.worth import answered_by

        answered_by(unit_costs)
