"""What an item is in the pot: who may say so, and what its name says by itself."""

from copy import copy
from typing import Any

from production.chemistry.domain.alkali_names import StrongAlkali
from production.quantities.domain.refusal import Refused
from production.workshop.models.items import Item
from production.workshop.reads.labelled import ALKALI_OF, proposed_label_name, spoken_of
from production.workshop.reads.roles import role_of

CATEGORY = Item.Category
# What decides whether a material counts as alkali, needs a check or is exempt.
STATED = ("kind", "category", "alkali", "acid", "needs_check")
NAMES = (
    "name",
    "own_inci",
    "own_potassium_soap",
    "own_sodium_soap",
    "name_on_label",
)
Changed = dict[str, tuple[Any, Any]]


def propose_label(item: Item) -> None:
    """The published label name that fits its name, and the alkali that it names."""
    if item.name_on_label is None and not item.own_inci:
        item.name_on_label = proposed_label_name(item)
    if item.name_on_label is not None and not item.alkali and not _said_milder(item):
        item.alkali = ALKALI_OF.get(item.name_on_label.inci, "")


def _said_milder(item: Item) -> bool:
    return item.category not in (CATEGORY.UNKNOWN, CATEGORY.ALKALI)


def settle_role(item: Item) -> None:
    """Enter what is called a strong alkali as one, or refuse what the card says."""
    propose_label(item)
    refuse_at_odds(item)
    said = spoken_of(item)
    if said is not None:
        item.category = CATEGORY.ALKALI
        if not item.alkali and said.which in ALKALI_OF.values():
            item.alkali = said.which


def refuse_at_odds(item: Item) -> None:
    said = spoken_of(item)
    if said is not None and is_at_odds(item, said):
        raise Refused(at_odds(item, said))


def is_at_odds(item: Item, said: StrongAlkali) -> bool:
    """Whether the card says something else than the name does."""
    if _said_milder(item):
        return True
    return bool(item.alkali and said.which and item.alkali != said.which)


def at_odds(item: Item, said: StrongAlkali) -> str:
    """What to do where the card says something else than the name does."""
    what = f"strong alkali ({said.which})" if said.which else "strong alkali"
    verb = "is the name of" if said.sure else "may be the name of"
    alkali = f"{said.which} alkali" if said.which else "alkali"
    return (
        f"{item.name} {verb} a {what}, and would burn: give it the category alkali"
        f"{', ' + said.which if said.which in ALKALI_OF.values() else ''}. If it is no "
        f"{alkali}, an owner says so, with the reason."
    )


def without_role(item: Item) -> bool:
    """A material of which neither its card nor its name says what it is."""
    if item.kind != Item.Kind.MATERIAL or item.category:
        return False
    return spoken_of(item) is None


def say_what_it_is(name: str) -> str:
    return (
        f"Say what {name} is: choose its category. What goes into a pot has a stated "
        "role, as oil, alkali, water, fragrance or soap."
    )


def which_is_open(item: Item) -> str:
    """What to mend where category and alkali do not go together; "" where they do."""
    said = spoken_of(item)
    # The book works with two alkalis; a third is kept, and refused by every sum.
    third = said is not None and said.which not in ("", *ALKALI_OF.values())
    if item.category == CATEGORY.ALKALI and not item.alkali and not third:
        return "Say which alkali it is, KOH or NaOH."
    if item.alkali and item.category != CATEGORY.ALKALI:
        return f"It is {item.alkali} only in the category alkali: choose that, or none."
    return ""


def judge_stated(item: Item) -> None:
    """Refuse a card that leaves open what must be known before the first use."""
    if without_role(item) and not (item.pk and role_of(item)):
        raise Refused(say_what_it_is(item.name))
    if open_ := which_is_open(item):
        raise Refused(f"{item.name}: {open_}")


def with_facts(item: Item, facts: dict[str, Any]) -> Item:
    """The card as it would be."""
    after = copy(item)
    for field, value in facts.items():
        setattr(after, field, value)
    return after


def weighty(item: Item, facts: dict[str, Any]) -> Changed:
    """The facts among these that change what it counts as."""
    after = with_facts(item, facts)
    changed = {
        field: (getattr(item, field), facts[field])
        for field in STATED
        if field in facts and facts[field] != getattr(item, field)
    }
    if renamed_into(item, after):
        changed |= {
            field: (getattr(item, field), facts[field])
            for field in NAMES
            if field in facts and facts[field] != getattr(item, field)
        }
    return changed


def renamed_into(item: Item, after: Item) -> bool:
    """Whether new names make it an alkali, or unmake it."""
    return spoken_of(item) != spoken_of(after)


def owner_decides(item: Item, facts: dict[str, Any], changed: Changed) -> bool:
    """Whether this changes what was stated; stating what is missing is open to all."""
    after = with_facts(item, facts)
    if item.kind == Item.Kind.MADE and "category" in changed and item.lots.exists():
        return True  # what is made here counts as soap until an owner says otherwise
    if any(before not in ("", None) for before, _ in changed.values()):
        return True
    if item.is_alkali != after.is_alkali and (item.category or item.is_alkali):
        return True
    said = spoken_of(after)
    return said is not None and bool(changed) and is_at_odds(after, said)
