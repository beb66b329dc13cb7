"""What kind of product a lot or a product is, from its card and its composition."""

from collections.abc import Mapping
from dataclasses import dataclass

from labels.domain.kind import Bulk, Decided, KindBook, KindOfProduct, bulk, read_kind
from labels.models import KindDecision, LabelCard
from production.contents.domain.contents import Contents
from production.contents.reads.contents import contents_of, soap_from_outside
from production.models import Item, Lot


@dataclass(frozen=True, slots=True)
class Held:
    """What is known of what is in a lot: label names by source lot, several of one
    that is a mixture, and the soap."""

    contents: Contents | None
    names: Mapping[str, tuple[str, ...]]
    soap: Bulk | None


def held_by(lot: Lot | None) -> Held:
    """What is in a lot; of no lot nothing is known."""
    if lot is None:
        return Held(None, {}, None)
    contents = contents_of(lot)
    sources = Lot.objects.filter(code__in=contents.added)
    rows = list(
        sources.select_related("item__name_on_label", "batch").prefetch_related(
            "item__mixture"
        )
    )
    names = {row.code: label_names(row.item) for row in rows}
    outside = {row.code for row in rows if soap_from_outside(row)}
    if contents.finished is None:
        return Held(contents, names, None)
    alone = {code: told[0] for code, told in names.items() if len(told) == 1}
    return Held(contents, names, bulk(contents.finished, alone, outside))


def label_names(item: Item) -> tuple[str, ...]:
    """Every name that it stands under on labels; none where nobody said one."""
    mixture = tuple(part.inci for part in item.mixture.all())
    return mixture or tuple(filter(None, [label_name(item)]))


def label_name(item: Item) -> str:
    """Its own name on labels, or that of the inventory; "" where it has none."""
    return item.own_inci or (item.name_on_label.inci if item.name_on_label else "")


def source_of(item: Item, lot: Lot | None) -> Lot | None:
    """The lot that tells of a product: the one in hand, or the last one made."""
    return lot or Lot.objects.filter(item=item).order_by("-pk").first()


def kind_for(
    card: LabelCard, held: Held, book: KindBook, *, beside: str = ""
) -> KindOfProduct:
    """The kind under the rules of ``book``; one query for the maker's decision.

    ``beside`` is what is printed on another label of the same bottle.
    """
    texts, warnings = texts_of(card)
    return read_kind(
        book,
        {**texts, "in the corrected text": beside},
        [name for told in held.names.values() for name in told],
        held.soap,
        purpose=card.made_for,
        sold_as_more=card.sold_as_more,
        decided=decided_for(card.item, book.rules),
        warnings=warnings,
    )


def texts_of(card: LabelCard) -> tuple[dict[str, str], frozenset[str]]:
    """All that is said of a product, by where it stands, whatever the language; and
    which of these places hold precautions."""
    said = {
        "in the name of the product": "\n".join((card.item.name, card.product)),
        "in the scent": card.scent,
        "in what it is": card.identity,
        "in what it is for": card.function,
        "in the contents": card.declared,
        "in the directions": card.directions,
        "in the precautions": card.cautions,
        "in where it was made": card.origin,
        "in the substitutes": card.substitutes,
        "in what else is said of it": card.claims,
    }
    warnings = {"in the precautions"}
    for row in card.texts.all() if card.pk else ():
        words = (row.identity, row.function, row.directions, row.origin)
        said[f"on the label in {row.language}"] = "\n".join(words)
        place = f"in the precautions in {row.language}"
        said[place] = row.cautions
        warnings.add(place)
    return said, frozenset(warnings)


def decided_for(item: Item, rules: str) -> Decided | None:
    """The last decision that stands."""
    rows = KindDecision.objects.filter(item=item, rules=rules)
    row = rows.select_related("deed").first()
    if row is None:
        return None
    return Decided(row.kind, row.deed.on, row.why, row.over)
