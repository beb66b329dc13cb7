"""The papers of fragrance lots, and what follows from them at finished strength."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from production.domain.fragrance import (
    Document,
    Poured,
    Remark,
    judge_all,
    poured_parts,
)
from production.models import Constituent, FragranceDocument, Item, Lot, Movement

FRAGRANCE = Item.Category.FRAGRANCE
Uses = Sequence[tuple[Lot, Decimal]]


@dataclass(frozen=True, slots=True)
class Blended:
    """A fragrance in a blend, and how many grams of the blend's making it was."""

    lot: Lot
    grams: Decimal


@dataclass(frozen=True, slots=True)
class Papers:
    """Documents in force by lot, and of blends what went in."""

    documents: dict[int, Document]
    blends: dict[int, list[Blended]]
    wholes: dict[int, Decimal]
    fragrances: frozenset[int]

    def poured(self, lot: Lot, share: Decimal) -> list[Poured]:
        """A lot as the fragrances in it; nothing where it is none."""
        if lot.pk in self.documents:
            return [Poured(lot.code, share, self.documents[lot.pk])]
        if parts := self.blends.get(lot.pk):
            told = [
                (part.lot.code, part.grams, self.documents.get(part.lot.pk))
                for part in parts
            ]
            return poured_parts(share, told, self.wholes[lot.pk])
        return [Poured(lot.code, share)] if lot.pk in self.fragrances else []


def remarks_for(
    uses: Uses, finished_mass: Decimal, warmth: Decimal | None = None
) -> list[str]:
    """What the papers say of these uses in so many grams of finished soap.

    Uses of anything but fragrance, or a blend of it, are passed over.
    """
    [remarks] = remarks_each([(uses, finished_mass)], warmth)
    return [remark.text for remark in remarks]


def remarks_each(
    soaps: Sequence[tuple[Uses, Decimal]], warmth: Decimal | None = None
) -> list[tuple[Remark, ...]]:
    """The same for several finished soaps, in as many queries as for one."""
    papers = papers_of(lot.pk for uses, _ in soaps for lot, _ in uses)
    found = []
    for uses, mass in soaps:
        poured: dict[str, Poured] = {}
        for lot, amount in uses if mass > 0 else ():
            for one in papers.poured(lot, amount / mass):
                before = poured.get(one.name)
                share = one.share + (before.share if before else 0)
                poured[one.name] = Poured(one.name, share, one.document)
        found.append(judge_all(poured.values(), warmth=warmth))
    return found


def papers_of(pks: Iterable[int]) -> Papers:
    """The papers of some lots and of the fragrances that were blended into them."""
    lots = list(Lot.objects.filter(pk__in=set(pks)).select_related("item"))
    blends, wholes = _blends(lots)
    every = {lot.pk: lot for lot in lots}
    for parts in blends.values():
        every |= {part.lot.pk: part.lot for part in parts}
    fragrances = frozenset(
        pk for pk, lot in every.items() if lot.item.category == FRAGRANCE
    )
    return Papers(documents_of(fragrances), blends, wholes, fragrances)


def _blends(lots: Sequence[Lot]) -> tuple[dict[int, list[Blended]], dict[int, Decimal]]:
    """Of lots made here: the fragrances that went in, and all that did, in grams."""
    made = {lot.batch_id: lot.pk for lot in lots if lot.batch_id}
    parts: dict[int, list[Blended]] = defaultdict(list)
    wholes: dict[int, Decimal] = defaultdict(Decimal)
    rows = Movement.objects.standing().filter(
        kind=Movement.Kind.USED, batch__in=made, lot__item__unit=Item.Unit.GRAM
    )
    for row in rows.select_related("lot__item").order_by("id"):
        blend = made[row.batch_id]
        wholes[blend] -= row.amount
        if row.lot.item.category == FRAGRANCE:
            parts[blend].append(Blended(row.lot, -row.amount))
    return dict(parts), dict(wholes)


def documents_of(pks: Iterable[int]) -> dict[int, Document]:
    """The document in force of each lot; its first papers where none was written."""
    pks = set(pks)
    latest: dict[int, FragranceDocument] = {}
    for row in FragranceDocument.objects.filter(lot__in=pks).order_by("id"):
        latest[row.lot_id] = row
    held: dict[int, dict[str, Decimal]] = defaultdict(dict)
    for part in Constituent.objects.in_force().filter(lot__in=pks):
        held[part.lot_id][part.inci] = part.share
    return {
        pk: _document(latest.get(pk), held.get(pk, {}))
        for pk in pks
        if pk in latest or pk in held
    }


def _document(row: FragranceDocument | None, held: dict[str, Decimal]) -> Document:
    if row is None:
        return Document(constituents=held)
    return Document(row.edition, row.flash_point, row.vanillin, row.most, held)
