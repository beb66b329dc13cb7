from django.apps import AppConfig


class LabelsConfig(AppConfig):
    name = "labels"

    def ready(self):
        """The history names the lot of each label: it knows nobody above."""
        from labels import models
        from production.correcting.reads.about import LOTS

        LOTS.update(
            {
                models.IssuedLabel: ["lot"],
                models.Reprint: ["issued__lot"],
                models.LabelCount: ["issued__lot"],
                models.LabelWithdrawn: ["issued__lot"],
                models.TextApproved: ["lot"],
            }
        )
