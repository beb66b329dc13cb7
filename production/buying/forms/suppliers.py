"""The card of a supplier."""

from django import forms

from production.buying.models import Supplier
from production.workshop.forms.cards import Card


class SupplierForm(Card):
    class Meta:
        model = Supplier
        fields = ("name", "contact", "note")
        widgets = {"note": forms.Textarea(attrs={"rows": 3})}
