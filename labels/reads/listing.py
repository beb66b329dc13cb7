"""What a lot holds, as the ingredient list wants it."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from labels.domain.declaration import (
    Added,
    Naming,
    Share,
    in_the_product,
    parts_as_added,
    parts_as_finished,
)
from labels.domain.ingredients import ingredient_list
from labels.domain.name_book import NameBook
from labels.domain.parts import IngredientList, Part, Role
from labels.domain.rules import RuleSet
from labels.domain.substitutes import read_substitutes, with_substitutes
from labels.models import LabelCard
from production.contents.domain.contents import Contents
from production.contents.reads.contents import contents_of
from production.fragrance.domain import Document, above_the_most
from production.fragrance.reads import documents_of
from production.models import Item, Lot
from production.quantities.domain.refusal import Refused
from production.record.reads.clock import today
from production.workshop.reads.roles import role_of

ROLES: dict[str, Role] = {
    Item.Category.FRAGRANCE: "fragrance",
    Item.Category.COLOURANT: "colourant",
}


@dataclass(frozen=True, slots=True)
class _Sources:
    """The lots from outside that a product holds, and what is known of each by code."""

    held: Contents
    lots: Mapping[str, Lot]
    naming: Mapping[str, Naming]
    documents: Mapping[str, Document]

    @property
    def allergens(self) -> dict[str, Mapping[str, Decimal]]:
        return {code: one.constituents for code, one in self.documents.items()}

    def among(self) -> dict[str, list[str]]:
        """Which lots cannot be told apart in a substance that formed or mingled."""
        roles = {code: role_of(lot.item) for code, lot in self.lots.items()}
        by_role = {
            role: [code for code in self.held.added if roles[code] == role]
            for role in ("water", "alkali", "acid")
        }
        return {
            "water": by_role["water"] + by_role["alkali"],
            "alkali": by_role["alkali"],
            "acid": by_role["acid"],
            "acid salt": by_role["acid"],
        }


def declare_lot(
    lot: Lot,
    rules: RuleSet,
    basis: str | None,
    names: NameBook,
    *,
    sold_in: str = "",
    instead: Mapping[str, Document] | None = None,
) -> IngredientList:
    """The ingredient list of a real lot, from what really went in.

    ``basis`` is "added" or "finished"; None takes the one the rules ask for. The
    allergens are those due on what is placed today, tested on the finished product
    in either basis; ``lacking`` says why the list cannot be printed clean. ``sold_in``
    is the code of a country, "" for that of the label card; ``instead`` are documents
    by the code of the lot for which they are to speak.
    Raises Refused where something about a source is not known, and names it.
    """
    held = contents_of(lot)
    found = _sources(held, names)
    if instead is not None:
        found = replace(found, documents={**found.documents, **instead})
    added = (basis or rules.default_basis) == "added"
    if added:
        parts, notes = _as_added(found)
    elif held.finished is None:
        raise Refused(" ".join(held.missing))
    else:
        parts, notes = parts_as_finished(
            held.finished, found.naming, found.allergens, found.among()
        )
    if not parts:
        raise Refused(f"Nothing that would be listed went into {lot}.")
    card = LabelCard.objects.filter(item=lot.item).first() or LabelCard(item=lot.item)
    on = today()
    duty = rules.allergen_duty(
        on, rinse_off=card.rinse_off, sold_in=sold_in or card.sold_in
    )
    made = ingredient_list(
        parts,
        rules,
        names,
        whole=_listed(parts),
        finished=_finished(found) if added else None,
        duty=duty,
    )
    made = with_substitutes(made, read_substitutes(card.substitutes), rules, names)
    lacking = tuple(_without_strength(found)) if added else ()
    lacking += tuple(_above_the_most(found))
    if duty is not None:
        lacking += tuple(_without_document(found, names))
        lacking += tuple(_names_unknown(found, names))
        lacking += tuple(_not_tested(found, made)) if added else ()
    return replace(made, notes=(*made.notes, *notes, *held.notes), lacking=lacking)


def parts_in_both(
    held: Contents, names: NameBook, lots: Mapping[str, Lot] | None = None
) -> tuple[tuple[Part, ...], tuple[Part, ...], list[str]]:
    """Parts as added and as finished, the second empty where that is not known.

    ``lots`` by code where they are loaded already, or are of a plan and in no book.
    Raises Refused where something about a source is not known, and names it.
    """
    found = _sources(held, names, lots)
    added, notes = _as_added(found)
    if held.finished is None:
        return added, (), list(notes)
    try:
        finished, more = parts_as_finished(
            held.finished, found.naming, found.allergens, found.among()
        )
    except Refused as refusal:
        # A soap without a name is told of, and left out of the second column.
        finished = in_the_product(held.finished, found.naming, found.allergens)
        more = (str(refusal),)
    return added, finished, [*notes, *more]


def _listed(parts: Sequence[Part]) -> Decimal:
    massive = (part.percent for part in parts if part.role != "allergen")
    return sum(massive, Decimal(0))


def _finished(found: _Sources) -> tuple[Part, ...] | None:
    if found.held.finished is None:
        return None
    return in_the_product(found.held.finished, found.naming, found.allergens)


def _sources(
    held: Contents, names: NameBook, known: Mapping[str, Lot] | None = None
) -> _Sources:
    lots = known if known is not None else _lots(held)
    papers = documents_of(row.pk for row in lots.values() if row.pk)
    return _Sources(
        held,
        lots,
        {code: _naming(row.item, names) for code, row in lots.items()},
        {row.code: papers[row.pk] for row in lots.values() if row.pk in papers},
    )


def _lots(held: Contents) -> dict[str, Lot]:
    rows = Lot.objects.filter(code__in=held.added)
    rows = rows.select_related("item__name_on_label").prefetch_related("item__mixture")
    return {row.code: row for row in rows}


def _naming(item: Item, names: NameBook) -> Naming:
    known = item.name_on_label
    return Naming(
        inci=item.own_inci or (known.inci if known else None),
        potassium_soap=item.own_potassium_soap
        or (known.potassium_soap if known else "")
        or None,
        sodium_soap=item.own_sodium_soap
        or (known.sodium_soap if known else "")
        or None,
        role=ROLES.get(item.category, "ingredient"),
        mixture=tuple(
            Share(one.inci, one.share, _role_in_mixture(one.inci, item, names))
            for one in item.mixture.all()
        ),
        item=item.name,
    )


def _role_in_mixture(inci: str, item: Item, names: NameBook) -> Role:
    """A colour is made up with other things, and a perfume too: each by its name."""
    if names.is_colourant(inci):
        return ROLES.get(item.category, "ingredient")
    return "fragrance" if names.is_fragrance(inci) else "ingredient"


def _as_added(found: _Sources) -> tuple[tuple[Part, ...], tuple[str, ...]]:
    for code in found.held.added:
        known = found.naming[code]
        if known.inci is None and not known.mixture:
            raise Refused(f"Give {known.item} ({code}) its label name (INCI) first.")
    added = [
        Added(
            code,
            found.naming[code].inci,
            grams,
            found.naming[code].role,
            found.naming[code].mixture,
            found.held.strengths.get(code),
        )
        for code, grams in found.held.added.items()
    ]
    return parts_as_added(added, found.allergens)


def _without_strength(found: _Sources) -> Iterator[str]:
    """Lots of alkali that count whole, as if they held no water."""
    for code in found.held.added:
        item = found.lots[code].item
        if role_of(item) == "alkali" and code not in found.held.strengths:
            yield (
                f"The strength of {code} ({item}) is not in the book: it counts whole, "
                "as if it held no water. Type what its tub or certificate says."
            )


def _without_document(found: _Sources, names: NameBook) -> Iterator[str]:
    """Fragrance lots of which no document says which allergens they hold."""
    for code in found.held.added:
        item, known = found.lots[code].item, found.naming[code]
        if not _smells(item, known, names):
            continue
        document = found.documents.get(code)
        if document is None:
            yield (
                f"{code} ({item}) has no document that names its allergens: ask its "
                "supplier, and write it on the page of the lot."
            )
        elif not document.constituents and not document.no_allergens:
            yield (
                f"The document of {code} ({item}) names no allergen and does not say "
                "that there is none: ask its supplier, and write the answer down."
            )


def _names_unknown(found: _Sources, names: NameBook) -> Iterator[str]:
    """What a document calls an allergen and our table does not: a slip, or no duty."""
    for code, document in found.documents.items():
        odd = [one for one in document.constituents if not names.label_name(one)]
        if odd:
            yield (
                f"The document of {code} ({found.lots[code].item}) names "
                f"{', '.join(odd)}, which stands in no table of allergens here: "
                "write each name as Annex III does, or leave it out."
            )


def _above_the_most(found: _Sources) -> Iterator[str]:
    """Fragrances above the highest dose that their supplier allows."""
    if found.held.finished is None:
        return
    whole = sum(found.held.finished.values(), Decimal(0))
    grams: dict[str, Decimal] = {}
    for substance, mass in found.held.finished.items():
        if substance.of in found.documents and substance.kind == "material":
            grams[substance.of] = grams.get(substance.of, Decimal(0)) + mass
    doses = above_the_most(
        (str(found.lots[code].item), mass / whole, found.documents[code].most)
        for code, mass in grams.items()
    )
    yield from map(str, doses)


def _smells(item: Item, known: Naming, names: NameBook) -> bool:
    if item.category == Item.Category.FRAGRANCE:
        return True
    called = [one.inci for one in known.mixture] or [known.inci or ""]
    return any(names.is_fragrance(one) for one in called)


def _not_tested(found: _Sources, made: IngredientList) -> Iterator[str]:
    """Where the share in the finished product is not known, the test is too mild."""
    if made.tested and found.held.finished is None:
        yield (
            "Allergens are to be tested on the finished product, and what it weighs "
            f"is not known. {' '.join(found.held.missing)}"
        )
