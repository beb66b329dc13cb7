"""Whether another lot of a fragrance, or its newer document, changes a printed list."""

from collections.abc import Iterator, Mapping, Sequence

from labels.domain.issued import name_changes
from labels.domain.rules import RuleSet
from labels.models import IssuedLabel
from labels.reads.issued import inputs_in, latest_out, words_in
from labels.reads.listing import declare_lot
from labels.reads.rules import rule_set
from labels.reads.tables import name_book
from production.contents.reads.closure import back_closure
from production.fragrance.domain import Document
from production.fragrance.reads import documents_of
from production.models import Item, Lot
from production.quantities.domain.refusal import Refused


def list_changes(lots: Sequence[Lot]) -> list[str]:
    """A sentence for each label whose ingredient list these fragrances would change.

    Each product is asked by the label that was issued last and its own lot, with the
    document of the new fragrance in place of the one that went in.
    """
    labels = _newest()
    inside = {one.pk: _fragrances_in(one.lot) for one in labels if one.lot}
    papers = documents_of(
        {lot.pk for lot in lots} | {f.pk for each in inside.values() for f in each}
    )
    return [
        says
        for lot in lots
        for one in labels
        for says in _said(lot, one, inside[one.pk], papers)
    ]


def _newest() -> list[IssuedLabel]:
    """The last label of each product, by rules and language."""
    found: dict[tuple[int, str, str], IssuedLabel] = {}
    for one in latest_out():
        found[(one.item_id, one.rules, one.language)] = one
    return list(found.values())


def _fragrances_in(lot: Lot) -> list[Lot]:
    behind = Lot.objects.filter(pk__in=back_closure(lot.pk))
    return list(
        behind.filter(item__category=Item.Category.FRAGRANCE).select_related("item")
    )


def _said(
    lot: Lot,
    label: IssuedLabel,
    inside: Sequence[Lot],
    papers: Mapping[int, Document],
) -> Iterator[str]:
    same = [one for one in inside if one.item_id == lot.item_id]
    if not same:
        return
    rules = rule_set(label.rules)
    where = f"the ingredient list of {label.item} ({rules.title})"
    if lot.pk not in papers and any(one.pk in papers for one in same):
        yield (
            f"{lot} has no document yet: whether it changes {where} is not known. "
            "Write its document before it is used."
        )
        return
    asked = inputs_in(label)["asked"]
    basis, sold_in = asked["basis"] or None, asked["sold_in"]
    instead = {one.code: papers.get(lot.pk, Document()) for one in same}
    try:
        if lot in same:
            was = tuple(words_in(label).get("ingredients", ()))
            now = _listed(label.lot, rules, basis, sold_in)
        else:
            was = _listed(label.lot, rules, basis, sold_in)
            now = _listed(label.lot, rules, basis, sold_in, instead)
    except Refused:
        # Its own page says what is lacking.
        return
    if changes := " ".join(name_changes(was, now)):
        yield (
            f"{lot} changes {where} of batch {label.lot}: {changes} Labels that are "
            "printed already do not fit what is made from it: issue new ones."
        )


def _listed(
    lot: Lot,
    rules: RuleSet,
    basis: str | None,
    sold_in: str,
    instead: Mapping[str, Document] | None = None,
) -> tuple[str, ...]:
    made = declare_lot(lot, rules, basis, name_book(), sold_in=sold_in, instead=instead)
    return made.ingredients
