"""What the book knows of the names in a sheet, and what the sheet adds to it."""

from difflib import get_close_matches

from django.core.exceptions import ValidationError

from production.buying.actions.purchase_sheet import NewItem
from production.buying.models import Purchase, Supplier
from production.record.models.ink import Closing
from production.record.models.workshop import Workshop
from production.record.reads.any_case import called, numbered, same_number, spellings
from production.stock.models.lots import Movement
from production.workshop.actions import roles
from production.workshop.models.items import Item
from production.workshop.models.places import Place
from production.workshop.reads.labelled import published_categories
from production.workshop.reads.roles import role_of


def same(name):
    """Names that differ in capitals or spaces mean one thing."""
    return " ".join(name.casefold().split())


class SheetLookup:
    """The cards in a fixed number of queries; cards that are missing are collected."""

    def __init__(self, sheet):
        self.cards = {
            same(item.name): item
            for item in Item.objects.select_related("name_on_label")
        }
        self.suppliers = {
            same(name): name for name in Supplier.objects.values_list("name", flat=True)
        }
        self.places = {same(place.name): place for place in Place.objects.all()}
        sent = numbered(Purchase.objects.standing(), _written(sheet, "number"))
        self.numbers = {
            (same(supplier), same_number(number)): arrived
            for supplier, number, arrived in sent.values_list(
                "supplier__name", "number", "arrived"
            )
        }
        there = called(
            Movement.objects.standing(),
            "lot__code",
            spellings(_written(sheet, "code")),
        )
        # Of those taken back the deed judges whether the same goods come again.
        self.codes = {
            code.casefold(): code for code in there.values_list("lot__code", flat=True)
        }
        closing = Closing.objects.order_by("-through").first()
        self.closed = closing.through if closing else None
        workshop = Workshop.objects.first()
        self.currency = workshop.currency if workshop else "USD"
        self.invoiced_in = {
            same_number(row.words.get("number", "")): row.words["currency"]
            for row in sheet.rows
            if row.words.get("currency")
        }
        self.new_items, self.new_suppliers = [], []
        self._known, self._unclear = list(self.cards), set()
        self._published = published_categories()

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
        if isinstance(card, Item):
            self._ask_role(card)
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
        category, alkali = self._role(name, facts)
        card = NewItem(
            name=name,
            alkali=alkali,
            unit=Item.Unit.PIECE
            if facts["kind"] == Item.Kind.PACKAGING
            else Item.Unit.GRAM,
            kind=facts["kind"],
            category=category,
            density=facts.get("density"),
        )
        self.cards[same(name)] = card
        self.new_items.append(card)
        return card

    def _role(self, name, facts):
        """Its category and which alkali, as stated or as its name says; or a fault.

        Only a name that stands in the published table as it is says a category.
        """
        stated = facts.get("category")
        if not stated and facts["kind"] == Item.Kind.MATERIAL:
            stated = self._published.get(same(name))
        card = Item(name=name, kind=facts["kind"], category=stated or "")
        said = card.named_alkali()
        if said is not None:
            if roles.is_at_odds(card, said):
                says = roles.at_odds(card, said)
                raise ValidationError({"category": f"{says} Add it under Items first."})
            card.category = Item.Category.ALKALI
            card.alkali = said.which if said.which in roles.ALKALI_OF.values() else ""
        if roles.without_role(card):
            if same(name) in self._unclear:
                return "", ""
            self._unclear.add(same(name))
            raise ValidationError({"category": roles.say_what_it_is(name)})
        if roles.which_is_open(card):
            raise ValidationError(
                {
                    "category": f"Which alkali is {name}? Write KOH or NaOH into its "
                    "name, or add it under Items first."
                }
            )
        return card.category, card.alkali

    def _ask_role(self, card):
        """Once for each card: nobody has said what it is."""
        if card.kind != Item.Kind.MATERIAL or role_of(card):
            return
        if card.pk not in self._unclear:
            self._unclear.add(card.pk)
            raise ValidationError(
                {
                    "item": f"{roles.say_what_it_is(card.name)} Open its page and "
                    "change it."
                }
            )


def _written(sheet, field):
    return {row.words[field] for row in sheet.rows if field in row.words}
