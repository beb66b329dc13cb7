"""The shape of what is typed: one plain form a deed."""

from production.forms.deed import DeedForm, attempt, today

__all__ = ["DeedForm", "attempt", "today"]
