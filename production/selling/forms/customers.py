"""The card of a customer."""

from production.selling.models import Customer
from production.workshop.forms.cards import Card


class CustomerForm(Card):
    class Meta:
        model = Customer
        fields = ("name", "contact")
