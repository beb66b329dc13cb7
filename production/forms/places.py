"""Where goods are taken from when nobody says."""

from production.models import Place
from production.reads.stock import on_hand_by_place


def standing_place(lot):
    """The one place where a lot stands; None (the workshop) when there are more."""
    stands = on_hand_by_place(lot)
    return Place.objects.get(name=stands[0][0]) if len(stands) == 1 else None
