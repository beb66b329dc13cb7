"""What was assessed of a product, and what stands in the book of one of its lots."""

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from labels.domain.assessment import Answer, Asked, Assessed, Made, answers
from labels.models import Assessment, LabelAddress
from labels.reads.kinds import label_names
from labels.reads.tables import name_book
from production.contents.domain.contents import Contents
from production.contents.reads.closure import back_closure
from production.models import Batch, Item, Lot, Movement, Workshop

LATEST_FIRST = ("-assessed_on", "-id")


def last_assessment(item: Item, rules: str) -> Assessment | None:
    """The one that counts: the latest by its own date, then by entry; three queries."""
    rows = Assessment.objects.filter(item=item, rules=rules)
    rows = rows.order_by(*LATEST_FIRST)
    rows = rows.select_related("pack", "deed__by")
    return rows.prefetch_related("recipes__formula", "fragrances__item").first()


def as_assessed(row: Assessment) -> Assessed:
    """A row as plain values."""
    return Assessed(
        reference=row.reference,
        assessor=row.assessor,
        on=row.assessed_on,
        until=row.holds_until,
        recipes={
            one.formula.name: (one.first_version, one.last_version)
            for one in row.recipes.all()
        },
        fragrances={one.item.name: one.most for one in row.fragrances.all()},
        pack=row.pack.name if row.pack else "",
        notification=row.notification,
        notified_on=row.notified_on,
        responsible=row.responsible,
    )


def made_of(lot: Lot, held: Contents) -> Made:
    """By which recipes a lot was made, with how much fragrance, in what; 5 queries."""
    versions: dict[str, set[int]] = defaultdict(set)
    behind = back_closure(lot.pk) | {lot.pk}
    batches = Batch.objects.filter(lot__in=behind)
    recipes: dict[int, str] = {}
    for batch, name, number in batches.values_list(
        "pk", "version__formula__name", "version__number"
    ):
        if name is not None:
            versions[name].add(number)
            recipes[batch] = name
    return Made(
        on=lot.deed.on,
        versions={name: frozenset(found) for name, found in versions.items()},
        fragrances=fragrances_in(held),
        packs=packs_of(lot),
        own=_own_recipes(lot, behind, recipes),
    )


def _own_recipes(
    lot: Lot, behind: Collection[int], recipes: Mapping[int, str]
) -> tuple[str, ...]:
    """The recipe of what was filled, and those by which oil met alkali.

    ``recipes`` are names by batch. Only what holds the soap counts: a brine or an
    infused oil is no recipe of its own.
    """
    if not recipes:
        return ()
    uses: dict[int, list[_Use]] = defaultdict(list)
    rows = Movement.objects.standing().filter(
        kind=Movement.Kind.USED,
        batch__lot__in=behind,
    )
    for row in rows.select_related("lot__item"):
        item = row.lot.item
        packs = item.kind == Item.Kind.PACKAGING
        uses[row.batch_id].append(_Use(row.lot.batch_id, _brings(item), packs))
    soaps = _soaps(uses)
    cooks = [
        name
        for batch, name in recipes.items()
        if batch in soaps and not any(use.batch in soaps for use in uses[batch])
    ]
    found = [*_next_recipe(lot.batch_id, uses, soaps, recipes), *cooks]
    return tuple(dict.fromkeys(found))


@dataclass(frozen=True, slots=True)
class _Use:
    """What went into a batch: the batch that made it, if any, and what it brings."""

    batch: int | None
    brings: frozenset[str]
    packs: bool


_SOAP = frozenset({"oil", "alkali"})


def _brings(item: Item) -> frozenset[str]:
    if item.category == Item.Category.SOAP:
        return _SOAP
    oil = item.oil_id is not None or item.category == Item.Category.OIL
    alkali = bool(item.alkali) or item.category == Item.Category.ALKALI
    return frozenset(
        word for word, is_it in (("oil", oil), ("alkali", alkali)) if is_it
    )


def _soaps(uses: Mapping[int, Sequence[_Use]]) -> frozenset[int]:
    """The batches into which both oil and alkali went, at any remove."""
    held: dict[int, frozenset[str]] = {}

    def into(batch: int) -> frozenset[str]:
        if batch not in held:
            rows = uses.get(batch, ())
            behind = [into(use.batch) for use in rows if use.batch is not None]
            held[batch] = frozenset().union(*(use.brings for use in rows), *behind)
        return held[batch]

    return frozenset(batch for batch in list(uses) if into(batch) == _SOAP)


def _next_recipe(
    batch: int | None,
    uses: Mapping[int, Sequence[_Use]],
    soaps: Collection[int],
    recipes: Mapping[int, str],
) -> list[str]:
    """The recipe of the soap itself behind a filling; that of the filling where no
    soap was made before it."""
    if batch is None:
        return []
    rows = uses.get(batch, ())
    if all(use.packs or use.batch in soaps for use in rows):
        # It only fills: nothing that it adds is part of the goods.
        behind = [
            name
            for use in rows
            if use.batch in soaps
            for name in _next_recipe(use.batch, uses, soaps, recipes)
        ]
        if behind:
            return behind
    return [recipes[batch]] if batch in recipes else []


def fragrances_in(held: Contents) -> dict[str, Decimal | None]:
    """Fraction of each fragrance in the finished product; None where not known."""
    sources = Lot.objects.filter(code__in=held.added)
    sources = sources.select_related("item__name_on_label")
    sources = sources.prefetch_related("item__mixture")
    items = {lot.code: lot.item.name for lot in sources if is_scent(lot.item)}
    if held.finished is None or not held.finished.total:
        return dict.fromkeys(items.values())
    grams: dict[str, Decimal] = defaultdict(Decimal)
    for substance, amount in held.finished.items():
        if substance.of in items:
            grams[items[substance.of]] += amount
    whole = held.finished.total
    return {name: grams[name] / whole for name in items.values()}


def is_scent(item: Item) -> bool:
    """Whether it is a fragrance by its card, or by a name that it has on labels."""
    if item.category == Item.Category.FRAGRANCE:
        return True
    return any(name_book().is_fragrance(name) for name in label_names(item))


def packs_of(lot: Lot) -> tuple[str, ...]:
    """The containers that went into its own batch."""
    if not lot.batch_id:
        return ()
    used = Movement.objects.standing().filter(
        batch=lot.batch_id,
        kind=Movement.Kind.USED,
        lot__item__serves_as=Item.Serves.CONTAINER,
    )
    return tuple(sorted(set(used.values_list("lot__item__name", flat=True))))


def answers_for(rules: str) -> str:
    """Who answers for the goods on a label of these rules, with the address."""
    row = LabelAddress.objects.filter(rules=rules).first()
    if row is not None:
        return ", ".join((row.name, row.street, row.town, row.country))
    workshop = Workshop.objects.first() or Workshop()
    return f"{workshop.name}, {workshop.address}"


def assessment_answers(
    asked: Sequence[Asked],
    item: Item,
    rules: str,
    lot: Lot | None,
    held: Contents | None,
    on: date,
    responsible: str,
) -> tuple[Answer, ...]:
    """What stands of each thing that these rules ask for before a product is sold."""
    if not asked:
        return ()
    row = last_assessment(item, rules)
    made = None
    if row is not None and lot is not None and held is not None:
        made = made_of(lot, held)
    return answers(
        asked,
        as_assessed(row) if row else None,
        made,
        on,
        responsible=responsible,
    )


def as_first_values(
    row: Assessment | None,
) -> tuple[dict[str, Any], dict[str, list[dict[str, Any]]]]:
    """An assessment as first values of the next one: who and what, never its days
    nor its notification."""
    if row is None:
        return {}, {}
    first = {
        "assessor": row.assessor,
        "pack": row.pack_id,
        "responsible": row.responsible,
    }
    recipes = [
        {
            "formula": one.formula_id,
            "first": _number(one.first_version),
            "last": _number(one.last_version),
        }
        for one in row.recipes.all()
    ]
    fragrances = [
        {"fragrance": one.item_id, "most": one.most} for one in row.fragrances.all()
    ]
    return first, {"recipes": recipes, "fragrances": fragrances}


def _number(version: int | None) -> Decimal | None:
    return None if version is None else Decimal(version)
