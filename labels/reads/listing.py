"""What a lot holds, as the ingredient list wants it."""

from collections import defaultdict
from collections.abc import Mapping
from decimal import Decimal

from labels.domain.declaration import (
    Added,
    Allergens,
    Naming,
    parts_as_added,
    parts_as_finished,
)
from labels.domain.ingredients import (
    IngredientList,
    NameBook,
    Part,
    Role,
    ingredient_list,
)
from labels.domain.rules import RuleSet
from production.contents.domain.contents import Contents
from production.contents.reads.contents import contents_of
from production.fragrance.domain import Document
from production.models import Constituent, Item, Lot
from production.quantities.domain.refusal import Refused

ROLES: dict[str, Role] = {
    Item.Category.FRAGRANCE: "fragrance",
    Item.Category.COLOURANT: "colourant",
}


def declare_lot(
    lot: Lot,
    rules: RuleSet,
    basis: str | None,
    names: NameBook,
    *,
    instead: Mapping[str, Document] | None = None,
) -> IngredientList:
    """The ingredient list of a real lot, from what really went in.

    ``basis`` is "added" or "finished"; None takes the one the rules ask for.
    ``instead`` are documents by the code of the lot for which they are to speak.
    Raises Refused where something about a source is not known, and names it.
    """
    held = contents_of(lot)
    basis = basis or rules.default_basis
    naming = _naming(held.added)
    allergens = _allergens(held.added)
    for code, paper in (instead or {}).items():
        allergens[code] = dict(paper.constituents)
    if basis == "added":
        parts, notes = _as_added(held, naming, allergens)
    else:
        if held.finished is None:
            raise Refused(" ".join(held.missing))
        parts, notes = parts_as_finished(held.finished, naming, allergens)
    if not parts:
        raise Refused(f"Nothing that would be listed went into {lot}.")
    listed = sum(
        (part.percent for part in parts if part.role != "allergen"), Decimal(0)
    )
    made = ingredient_list(parts, rules, names, whole=listed)
    return IngredientList(made.ingredients, (*made.notes, *notes, *held.notes))


def _naming(codes: Mapping[str, Decimal]) -> dict[str, Naming]:
    lots = Lot.objects.filter(code__in=codes).select_related("item__name_on_label")
    found = {}
    for lot in lots:
        item, known = lot.item, lot.item.name_on_label
        found[lot.code] = Naming(
            inci=item.own_inci or (known.inci if known else None),
            potassium_soap=item.own_potassium_soap
            or (known.potassium_soap if known else "")
            or None,
            sodium_soap=(known.sodium_soap if known else "") or None,
            role=ROLES.get(item.category, "ingredient"),
        )
    return found


def _allergens(codes: Mapping[str, Decimal]) -> dict[str, dict[str, Decimal]]:
    found: dict[str, dict[str, Decimal]] = defaultdict(dict)
    held = Constituent.objects.in_force().filter(lot__code__in=codes)
    for row in held.select_related("lot"):
        found[row.lot.code][row.inci] = row.share
    return found


def _as_added(
    held: Contents, naming: Mapping[str, Naming], allergens: Allergens
) -> tuple[tuple[Part, ...], tuple[str, ...]]:
    items = dict(
        Lot.objects.filter(code__in=held.added).values_list("code", "item__name")
    )
    for code in held.added:
        if naming[code].inci is None:
            raise Refused(f"Give {items[code]} ({code}) its label name (INCI) first.")
    added = [
        Added(code, naming[code].inci, grams, naming[code].role)
        for code, grams in held.added.items()
    ]
    return parts_as_added(added, allergens)
