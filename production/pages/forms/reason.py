"""A reason, and nothing else."""

from production.pages.forms.deed import DeedForm


class ReasonForm(DeedForm):
    reason_asked = True
