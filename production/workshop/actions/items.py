"""Cards of items: what each is in the pot is stated, and changed by an owner."""

from typing import Any

from production.quantities.domain.refusal import Refused
from production.record.actions.deeds import deed
from production.record.actions.people import is_owner, owner_only, reason_asked
from production.record.actions.restating import restate
from production.record.models.ink import Deed, Restated
from production.workshop.actions.cards import add_item, change_item, write_through
from production.workshop.actions.roles import (
    STATED,
    at_odds,
    is_at_odds,
    judge_stated,
    owner_decides,
    settle_role,
    weighty,
    with_facts,
)
from production.workshop.models.items import Item
from production.workshop.reads.labelled import spoken_of


def _item_of(deed: Deed) -> Item:
    """The card that a deed wrote, for a form that was sent twice."""
    row = Restated.objects.filter(deed=deed, of=Restated.Of.ITEM).first()
    return Item.objects.get(pk=row.row)


@deed(
    "add an item", finds=_item_of, stays="An item stays on its list: change its card."
)
def enter_item(deed: Deed, *, name: str, **facts: Any) -> Item:
    """Add a material, packaging or product, and say what it is."""
    card = Item(name=name.strip(), **facts)
    said = spoken_of(card)
    otherwise = said is not None and is_at_odds(card, said)
    if otherwise:
        _owner_says(deed, card, said)
    else:
        settle_role(card)
    judge_stated(card)
    stated = {field: getattr(card, field) for field in STATED}
    item = add_item(name=card.name, otherwise=otherwise, **{**facts, **stated})
    told = {name: ("", getattr(item, name)) for name in STATED if getattr(item, name)}
    restate(deed, Restated.Of.ITEM, item.pk, told)
    return item


def _owner_says(deed: Deed, card: Item, said: Any) -> None:
    if not is_owner(deed.by):
        raise Refused(at_odds(card, said))
    reason_asked(deed, f"calling {card} something else than its name does")


def restate_item(*, item: Item, on: Any, by: Any, **facts: Any) -> Item:
    """Change a card: plain facts plainly, what it counts as by a deed with history."""
    signed = {name: facts.pop(name, "") for name in ("key", "reason", "typed")}
    # As it stands in the book: the card in hand may be an older one.
    item = Item.objects.get(pk=item.pk)
    if not weighty(item, facts):
        return change_item(item=item, **facts)
    return _restate_item(item=item, facts=facts, on=on, by=by, **signed)


@deed(
    "say what an item is",
    finds=_item_of,
    stays="Say again what the item is, on its card.",
)
def _restate_item(deed: Deed, *, item: Item, facts: dict[str, Any]) -> Item:
    fresh = Item.objects.get(pk=item.pk)
    changed = weighty(fresh, facts)
    if not changed:
        raise Refused(f"Somebody has just said so of {fresh}. Open its page again.")
    after = with_facts(fresh, facts)
    if owner_decides(fresh, facts, changed):
        owner_only(deed.by, f"change what {fresh} counts as")
        reason_asked(deed, f"changing what {fresh} counts as")
    else:
        judge_stated(after)
    written = write_through(fresh, facts)
    restate(deed, Restated.Of.ITEM, fresh.pk, changed)
    return written
