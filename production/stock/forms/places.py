"""Where goods are taken from, and where they may be put."""

from production.pages.forms.fields import Choice
from production.quantities.domain.numbers import plain
from production.workshop.models.places import Place


def places_to_put():
    """Without the places of what came back: goods come there through their sale."""
    return Place.objects.filter(apart=False)


class PlaceOf(Choice):
    """The places where one lot stands, each with what is there."""

    def __init__(self, stands, unit, *, label="Taken from", required=False):
        self.held, self.unit_word = dict(stands), "g" if unit == "g" else "pieces"
        places = Place.objects.filter(pk__in=[place.pk for place, _ in stands])
        super().__init__(places, label=label, required=required, empty_label="choose")

    def label_from_instance(self, place):
        return f"{place}: {plain(self.held[place])} {self.unit_word}"
