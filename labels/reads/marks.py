"""Whose mark stands on the labels of a product."""

from django.db.models import F, Q

from labels.models import MakersMark
from production.models import Item


def mark_for(item: Item) -> MakersMark | None:
    """The product's own mark, else that of all products."""
    found = MakersMark.objects.filter(Q(item=item.pk) | Q(item__isnull=True))
    return found.order_by(F("item").asc(nulls_last=True)).first()


def own_mark(item: Item | None) -> MakersMark | None:
    """That of one product, or that of all."""
    return MakersMark.objects.filter(item=item).first()
