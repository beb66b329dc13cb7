"""What has no day: the workshop, the people to deal with, and items' own facts."""

from collections.abc import Iterator

from production.models import (
    Customer,
    Formula,
    Hint,
    Item,
    Supplier,
    VersionLine,
    Vessel,
    Workshop,
)
from production.reads.history.told import Facts, figure, some
from production.reads.labelled import ALKALI_OF, proposed_label_name, spoken_of

WORKSHOP = ("address", "contact", "zone", "units", "paper", "domain", "emergency")


def cards() -> Iterator[Facts]:
    """The cards that an import into an empty book would not make by itself."""
    yield from _workshop_card()
    for vessel in Vessel.objects.order_by("name"):
        facts: Facts = {"type": "vessel", "name": vessel.name}
        facts["volume"] = figure(vessel.volume)
        yield some(facts, tare=figure(vessel.tare))
    yield from hints(recipe__isnull=True)
    for role, model in (("supplier", Supplier), ("customer", Customer)):
        for party in model.objects.exclude(contact="").order_by("name"):
            facts = {"type": "party", "role": role, "name": party.name}
            yield {**facts, "contact": party.contact}
    in_recipes = set(Formula.objects.values_list("makes", flat=True))
    in_recipes |= set(VersionLine.objects.values_list("item", flat=True))
    for item in Item.objects.select_related("oil", "name_on_label").order_by("pk"):
        own = _own_facts(item)
        if own or item.pk in in_recipes or not item.lots.exists():
            facts = {"type": "item", "name": item.name, "unit": item.unit}
            yield {**facts, "kind": item.kind, **own}


def _workshop_card() -> Iterator[Facts]:
    workshop, blank = Workshop.objects.first(), Workshop(name="Workshop")
    if workshop is None:
        return
    changed = {
        key: getattr(workshop, key)
        for key in WORKSHOP
        if getattr(workshop, key) != getattr(blank, key)
    }
    some(changed, balance_step=figure(workshop.balance_step))
    if changed or workshop.name != blank.name:
        yield {"type": "workshop", "name": workshop.name, **changed}


def hints(**which: bool) -> Iterator[Facts]:
    """The workshop's own rules; the published ones ship with every book."""
    found = Hint.objects.filter(**which).select_related("instead_of", "recipe")
    for hint in found.order_by("pk"):
        key = hint.instead_of.key if hint.instead_of else None
        facts: Facts = {"type": "hint", "instead_of": key, "topic": hint.topic}
        facts |= {"figure": hint.figure, "low": figure(hint.low)}
        facts |= {"high": figure(hint.high), "says": hint.says, "source": hint.source}
        recipe = hint.recipe.name if hint.recipe else None
        yield some(facts, recipe=recipe, silent=hint.silent)


def _own_facts(item: Item) -> Facts:
    """What the item's name does not propose by itself."""
    proposed = proposed_label_name(item)
    own = some(
        {},
        category=item.category,
        serves_as=item.serves_as,
        acid=item.acid,
        density=figure(item.density),
        oil=item.oil.key if item.oil else None,
        own_inci=item.own_inci,
        own_potassium_soap=item.own_potassium_soap,
        needs_check=item.needs_check,
        on_tap=item.on_tap,
        tap_price=figure(item.tap_price),
        low_at=figure(item.low_at),
        most=figure(item.most),
        ph_low=figure(item.ph_low),
        ph_high=figure(item.ph_high),
    )
    if item.name_on_label != proposed:
        own["name_on_label"] = item.name_on_label.key if item.name_on_label else None
    named = item.name_on_label
    if item.alkali != (ALKALI_OF.get(named.inci, "") if named else ""):
        own["alkali"] = item.alkali
    burns = spoken_of(item) is not None
    return some(own, not_alkali=burns and not item.is_alkali)
