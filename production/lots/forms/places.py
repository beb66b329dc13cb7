"""The card of a place."""

from production.workshop.forms.cards import Card
from production.workshop.models.places import Place


class PlaceForm(Card):
    class Meta:
        model = Place
        fields = ("name", "customer")
