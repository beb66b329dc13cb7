"""Cards without a day."""

from production.buying.actions.suppliers import ensure_supplier
from production.chemistry.models import InciName, ReferenceOil, ReferenceRuleOfThumb
from production.exchange import domain as history
from production.exchange.actions.naming import Act
from production.recipes.actions.rules_of_thumb import keep_rule, mend_rule
from production.recipes.models.formulas import Formula
from production.recipes.models.rules_of_thumb import RuleOfThumb
from production.record.domain.keys import said
from production.selling.actions.customers import ensure_customer
from production.workshop.actions.cards import (
    add_item,
    add_vessel,
    change_vessel,
    set_up_workshop,
    write_through,
)
from production.workshop.actions.mixtures import write_mixture
from production.workshop.actions.rates import add_equipment, change_equipment
from production.workshop.actions.roles import is_at_odds
from production.workshop.models.items import Item
from production.workshop.models.places import Vessel
from production.workshop.models.rates import Equipment
from production.workshop.reads.labelled import spoken_of


def replay_item(event: history.Item, act: Act) -> None:
    facts = said(event)
    for key, model in (("oil", ReferenceOil), ("name_on_label", InciName)):
        if key in facts:
            slug = facts[key]
            facts[key] = model.objects.filter(key=slug).first() if slug else None
            if slug and facts[key] is None:
                raise event.fault(f"{key!r} {slug!r} is in no published table.")
    name, otherwise = facts.pop("name"), facts.pop("not_alkali")
    mixture = facts.pop("mixture")
    if not otherwise:
        facts |= _burns(Item(name=name, **facts))
    known = Item.objects.filter(name=name).first()
    if known is None:
        known = add_item(name=name, otherwise=otherwise, **facts)
    # Again, since a new card is given what its name proposes.
    write_through(known, facts)
    if mixture:
        write_mixture(item=known, parts=mixture)


def _burns(card: Item) -> dict[str, str]:
    """What is called a strong alkali comes in as one, whatever its file calls it."""
    spoken = spoken_of(card)
    if spoken is None or not is_at_odds(card, spoken):
        return {}
    return {"category": Item.Category.ALKALI, "alkali": spoken.which}


def replay_workshop(event: history.Workshop, act: Act) -> None:
    set_up_workshop(**said(event))


def replay_vessel(event: history.Vessel, act: Act) -> None:
    known = Vessel.objects.filter(name=event.name).first()
    if known is None:
        add_vessel(**said(event))
    else:
        change_vessel(known, **said(event))


def replay_equipment(event: history.Equipment, act: Act) -> None:
    known = Equipment.objects.filter(name=event.name).first()
    if known is None:
        add_equipment(**said(event))
    else:
        change_equipment(equipment=known, power=event.power)


def replay_rule_of_thumb(event: history.RuleOfThumb, act: Act) -> None:
    key, own = event.instead_of, RuleOfThumb.objects.all()
    published = ReferenceRuleOfThumb.objects.filter(key=key).first() if key else None
    if key and published is None:
        raise event.fault(f"'instead_of' {key!r} is in no published table.")
    rule = said(event)
    del rule["instead_of"]
    rule["recipe"] = _recipe_of(event)
    told = {name: rule.pop(name) for name in ("source", "silent")}
    known = own.filter(instead_of=published, **({} if published else rule)).first()
    if known is None:
        keep_rule(instead_of=published, **rule, **told)
    else:
        mend_rule(known, **rule, **told)


def _recipe_of(event: history.RuleOfThumb) -> Formula | None:
    name = event.recipe
    recipe = Formula.objects.filter(name=name).first() if name else None
    if name and recipe is None:
        raise event.fault(
            f"'recipe' {name!r} has to stand in the file before its rule."
        )
    return recipe


def replay_party(event: history.Party, act: Act) -> None:
    ensure = {"supplier": ensure_supplier, "customer": ensure_customer}
    if event.role not in ensure:
        raise event.fault("'role' is supplier or customer.")
    row = ensure[event.role](event.name)
    row.contact = event.contact
    row.save(update_fields=["contact"])
