"""A sum of money as a sentence says it: to the cent, in the workshop's currency."""

from decimal import Decimal

from production.quantities.domain.numbers import cents, grouped
from production.record.models.workshop import Workshop


def in_money(value: Decimal) -> str:
    """``39.07 EUR``; a real minus below zero."""
    workshop = Workshop.objects.first()
    currency = f" {workshop.currency}" if workshop else ""
    return f"{grouped(cents(value), places=True)}{currency}"
