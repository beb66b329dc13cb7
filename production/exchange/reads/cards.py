"""What has no day: the workshop, the people to deal with, and items' own facts."""

from collections.abc import Iterator
from typing import Any

from production.buying.models import Supplier
from production.exchange import domain as history
from production.exchange.reads.events import told_of
from production.recipes.models.formulas import Formula, VersionLine
from production.recipes.models.rules_of_thumb import RuleOfThumb
from production.record.domain.keys import Event, keys_of
from production.record.models.workshop import Workshop
from production.selling.models import Customer
from production.workshop.models.items import Item
from production.workshop.models.places import Vessel
from production.workshop.reads.labelled import ALKALI_OF, proposed_label_name, spoken_of

# What is told of an item as it stands, where it says anything.
PLAIN = (
    *("category", "serves_as", "acid", "density", "own_inci", "own_potassium_soap"),
    "own_sodium_soap",
    *("needs_check", "on_tap", "tap_price", "low_at", "most", "ph_low", "ph_high"),
)


def cards() -> Iterator[Event]:
    """The cards that an import into an empty book would not make by itself."""
    yield from _workshop_card()
    for row in Vessel.objects.order_by("name"):
        yield told_of(history.Vessel, row)
    yield from rules_of_thumb(recipe__isnull=True)
    for role, model in (("supplier", Supplier), ("customer", Customer)):
        for party in model.objects.exclude(contact="").order_by("name"):
            yield told_of(history.Party, party, role=role)
    in_recipes = set(Formula.objects.values_list("makes", flat=True))
    in_recipes |= set(VersionLine.objects.values_list("item", flat=True))
    items = Item.objects.select_related("oil", "name_on_label").order_by("pk")
    for item in items.prefetch_related("mixture"):
        own = _own_facts(item)
        if own or item.pk in in_recipes or not item.lots.exists():
            yield history.Item(name=item.name, unit=item.unit, kind=item.kind, **own)


def _workshop_card() -> Iterator[Event]:
    """What differs from the card that an empty book begins with."""
    workshop, blank = Workshop.objects.first(), Workshop(name="Workshop")
    if workshop is None:
        return
    told = {key.field for key in keys_of(history.Workshop)}
    changed = {
        name: getattr(workshop, name)
        for name in told
        if getattr(workshop, name) != getattr(blank, name)
    }
    if changed:
        yield history.Workshop(**{"name": workshop.name, **changed})


def rules_of_thumb(**which: bool) -> Iterator[Event]:
    """The workshop's own rules; the published ones ship with every book."""
    found = RuleOfThumb.objects.filter(**which).select_related("instead_of", "recipe")
    for rule in found.order_by("pk"):
        key = rule.instead_of.key if rule.instead_of else None
        recipe = rule.recipe.name if rule.recipe else None
        yield told_of(history.RuleOfThumb, rule, instead_of=key, recipe=recipe)


def _own_facts(item: Item) -> dict[str, Any]:
    """What the item's name does not propose by itself."""
    plain = {name: getattr(item, name) for name in PLAIN}
    own = {name: value for name, value in plain.items() if _says_something(value)}
    if item.oil:
        own["oil"] = item.oil.key
    proposed, named = proposed_label_name(item), item.name_on_label
    if named != proposed:
        own["name_on_label"] = named.key if named else None
    if item.alkali != (ALKALI_OF.get(named.inci, "") if named else ""):
        own["alkali"] = item.alkali
    if spoken_of(item) is not None and not item.is_alkali:
        own["not_alkali"] = True
    if mixture := {one.inci: one.share for one in item.mixture.all()}:
        own["mixture"] = mixture
    return own


def _says_something(value: Any) -> bool:
    return value is not None and value is not False and value != ""
