"""Where goods are taken from when nobody says, and where they may be put."""

from production.domain.numbers import plain
from production.forms.fields import Choice
from production.models import Place
from production.reads.stock import on_hand_by_place


def places_to_put():
    """Without the places of what came back: goods come there through their sale."""
    return Place.objects.filter(apart=False)


def standing_place(lot):
    """The one place where a lot stands; None (the workshop) when there are more.

    What came back stands apart: it is taken from there only where all of it does.
    """
    names = [name for name, _ in on_hand_by_place(lot)]
    stands = Place.objects.filter(name__in=names).order_by("apart", "name")
    free = [place for place in stands if not place.apart] or list(stands)
    return free[0] if len(free) == 1 else None


class PlaceOf(Choice):
    """The places where one lot stands, each with what is there."""

    def __init__(self, stands, unit):
        self.held, self.unit = dict(stands), unit
        places = Place.objects.filter(pk__in=[place.pk for place, _ in stands])
        super().__init__(
            places, label="Taken from", required=False, empty_label="choose"
        )

    def label_from_instance(self, place):
        return f"{place}: {plain(self.held[place])} {self.unit_word}"

    @property
    def unit_word(self):
        return "g" if self.unit == "g" else "pieces"
