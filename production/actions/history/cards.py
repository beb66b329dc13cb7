"""Cards without a day."""

from typing import Any

from production.actions.hints import keep_hint, mend_hint
from production.actions.roles import is_at_odds
from production.actions.workshop import (
    add_item,
    add_vessel,
    change_vessel,
    ensure_customer,
    ensure_supplier,
    set_up_workshop,
    write_through,
)
from production.domain.history import Event
from production.models import (
    Formula,
    Hint,
    InciName,
    Item,
    ReferenceHint,
    ReferenceOil,
    Vessel,
)
from production.reads.labelled import spoken_of


def replay_item(event: Event, act: dict[str, Any]) -> None:
    facts: dict[str, Any] = {}
    texts = ("category", "serves_as", "alkali", "acid", "own_inci")
    for key in (*texts, "own_potassium_soap"):
        if key in event.facts:
            facts[key] = event.text(key)
    for key in ("needs_check", "on_tap"):
        if key in event.facts:
            facts[key] = event.yes(key)
    for key in ("density", "most", "ph_low", "ph_high", "tap_price", "low_at"):
        if key in event.facts:
            facts[key] = event.maybe(key)
    for key, model in (("oil", ReferenceOil), ("name_on_label", InciName)):
        if key in event.facts:
            slug = event.words(key)
            facts[key] = model.objects.filter(key=slug).first() if slug else None
            if slug and facts[key] is None:
                raise event.fault(f"{key!r} {slug!r} is in no published table.")
    name, unit, kind = event.text("name"), event.text("unit"), event.text("kind")
    otherwise = event.yes("not_alkali") if "not_alkali" in event.facts else False
    facts = {"unit": unit, "kind": kind, **facts}
    if not otherwise:
        facts |= _burns(Item(name=name, **facts))
    known = Item.objects.filter(name=name).first()
    if known is None:
        known = add_item(name=name, otherwise=otherwise, **facts)
    # Again, since a new card is given what its name proposes.
    write_through(known, facts)


def _burns(card: Item) -> dict[str, str]:
    """What is called a strong alkali comes in as one, whatever its file calls it."""
    said = spoken_of(card)
    if said is None or not is_at_odds(card, said):
        return {}
    return {"category": Item.Category.ALKALI, "alkali": said.which}


def replay_workshop(event: Event, act: dict[str, Any]) -> None:
    keys = (
        "name",
        "address",
        "contact",
        "zone",
        "units",
        "paper",
        "domain",
        "emergency",
    )
    facts: dict[str, Any] = {key: event.text(key) for key in keys if key in event.facts}
    if "balance_step" in event.facts:
        facts["balance_step"] = event.maybe("balance_step")
    set_up_workshop(**facts)


def replay_vessel(event: Event, act: dict[str, Any]) -> None:
    facts: dict[str, Any] = {
        "name": event.text("name"),
        "volume": event.number("volume"),
        "tare": event.maybe("tare"),
    }
    known = Vessel.objects.filter(name=facts["name"]).first()
    if known is None:
        add_vessel(**facts)
    else:
        change_vessel(known, **facts)


def replay_hint(event: Event, act: dict[str, Any]) -> None:
    key, own = event.words("instead_of"), Hint.objects.all()
    published = ReferenceHint.objects.filter(key=key).first() if key else None
    if key and published is None:
        raise event.fault(f"'instead_of' {key!r} is in no published table.")
    rule: dict[str, Any] = {
        "topic": event.text("topic"),
        "figure": event.text("figure"),
        "low": event.maybe("low"),
        "high": event.maybe("high"),
        "says": event.text("says"),
        "recipe": _recipe_of(event),
    }
    told = {"source": event.text("source"), "silent": event.yes("silent")}
    known = own.filter(instead_of=published, **({} if published else rule)).first()
    if known is None:
        keep_hint(instead_of=published, **rule, **told)
    else:
        mend_hint(known, **rule, **told)


def _recipe_of(event: Event) -> Formula | None:
    name = event.words("recipe")
    recipe = Formula.objects.filter(name=name).first() if name else None
    if name and recipe is None:
        raise event.fault(
            f"'recipe' {name!r} has to stand in the file before its rule."
        )
    return recipe


def replay_party(event: Event, act: dict[str, Any]) -> None:
    ensure = {"supplier": ensure_supplier, "customer": ensure_customer}
    role = event.text("role")
    if role not in ensure:
        raise event.fault("'role' is supplier or customer.")
    row = ensure[role](event.text("name"))
    row.contact = event.text("contact", "")
    row.save(update_fields=["contact"])
