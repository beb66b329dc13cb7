"""What the book knows of the names in a sheet, and what the sheet adds to it."""

from difflib import get_close_matches

from django.core.exceptions import ValidationError

from production.actions.purchase_sheet import NewItem
from production.models import Closing, Item, Lot, Place, Purchase, Supplier


def same(name):
    """Names that differ in capitals or spaces mean one thing."""
    return " ".join(name.casefold().split())


class Shelf:
    """The cards in a fixed number of queries; cards that are missing are collected."""

    def __init__(self, sheet):
        self.cards = {same(item.name): item for item in Item.objects.all()}
        self.suppliers = {
            same(name): name for name in Supplier.objects.values_list("name", flat=True)
        }
        self.places = {same(place.name): place for place in Place.objects.all()}
        self.numbers = dict(
            Purchase.objects.filter(number__in=_written(sheet, "number")).values_list(
                "number", "arrived"
            )
        )
        self.codes = set(
            Lot.objects.filter(code__in=_written(sheet, "code")).values_list(
                "code", flat=True
            )
        )
        closing = Closing.objects.order_by("-through").first()
        self.closed = closing.through if closing else None
        self.new_items, self.new_suppliers = [], []
        self._known, self._unclear = list(self.cards), set()

    def supplier(self, name):
        if same(name) not in self.suppliers:
            self.suppliers[same(name)] = " ".join(name.split())
            self.new_suppliers.append(self.suppliers[same(name)])
        return self.suppliers[same(name)]

    def place(self, name):
        if same(name) not in self.places:
            raise ValidationError(
                f"There is no place {name}. Add it under Places, or leave this empty."
            )
        return self.places[same(name)]

    def card(self, facts):
        """The item's card, known or new; None where it was said to be unclear."""
        name = " ".join(facts["item"].split())
        card = self.cards.get(same(name))
        if card is None:
            return self._add(name, facts)
        for fact in ("kind", "category"):
            if facts.get(fact) and facts[fact] != getattr(card, fact):
                raise ValidationError(
                    {
                        fact: f"{card.name} has {getattr(card, fact) or 'none'} on its "
                        f"card, not {facts[fact]}. Leave this empty, or mend the card."
                    }
                )
        return card

    def _add(self, name, facts):
        if not facts.get("kind"):
            if same(name) in self._unclear:
                return None
            self._unclear.add(same(name))
            says = f"{name} is new here: write material or packaging."
            near = get_close_matches(same(name), self._known, n=1, cutoff=0.8)
            if near:
                says += f" Or is {self.cards[near[0]].name} meant?"
            raise ValidationError({"kind": says})
        card = NewItem(
            name=name,
            unit=Item.Unit.PIECE
            if facts["kind"] == Item.Kind.PACKAGING
            else Item.Unit.GRAM,
            kind=facts["kind"],
            category=facts.get("category") or "",
            density=facts.get("density"),
        )
        self.cards[same(name)] = card
        self.new_items.append(card)
        return card


def _written(sheet, field):
    return {row.words[field] for row in sheet.rows if field in row.words}
