"""The papers of fragrance lots, and what follows from them at finished strength."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from production.contents.domain.contents import Contents
from production.contents.reads.closure import back_closure
from production.contents.reads.contents import (
    contents_among,
    family_lots,
    soap_from_outside,
)
from production.fragrance.domain import (
    Document,
    Dose,
    Poured,
    Remark,
    above_the_most,
    judge_all,
    poured_parts,
)
from production.recipes.domain.scaling.work_out import PlannedStage
from production.stock.models.batches import Stage
from production.stock.models.lots import Lot, Movement
from production.stock.models.readings import Constituent, FragranceDocument
from production.stock.reads.on_labels import said_of_labels
from production.workshop.models.items import Item

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


def remarks_for(uses: Uses, finished_mass: Decimal) -> list[str]:
    """What the papers say of these uses in so many grams of finished soap.

    Uses of anything but fragrance, or a blend of it, are passed over.
    """
    [remarks] = remarks_each([(uses, finished_mass)])
    return [remark.text for remark in remarks]


def remarks_of(planned: PlannedStage) -> list[str]:
    """The same of a planned stage, at the strength that its fragrance lots get."""
    drawn = {
        share.code: share.amount
        for taken in planned.taken
        if taken.need.item.category == FRAGRANCE
        for share in taken.shares
    }
    if not drawn or planned.plan.stage.makes.counted:
        return []
    lots = Lot.objects.filter(code__in=drawn).select_related("item")
    uses = [(lot, drawn[lot.code]) for lot in lots]
    on_labels = said_of_labels([lot for lot, _ in uses])
    return [*remarks_for(uses, planned.together), *on_labels]


def remarks_each(
    soaps: Sequence[tuple[Uses, Decimal]],
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
        found.append(judge_all(poured.values()))
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
    rows = Movement.objects.used().filter(
        batch__in=made, lot__item__unit=Item.Unit.GRAM
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


def editions_of(lot: Lot) -> list[FragranceDocument]:
    """The documents in force of other lots of the same fragrance, one an edition.

    The edition that is in force for the lot itself is not among them.
    """
    rows = FragranceDocument.objects.filter(lot__item=lot.item_id).order_by("id")
    rows = rows.select_related("lot__item").prefetch_related("constituents")
    latest = {row.lot_id: row for row in rows}
    own = latest.pop(lot.pk, None)
    found = {(row.edition, row.dated): row for row in latest.values()}
    if own is not None:
        found.pop((own.edition, own.dated), None)
    return list(reversed(found.values()))


def told_otherwise(lot: Lot) -> list[str]:
    """Lots of which the same edition was typed with other figures."""
    rows = FragranceDocument.objects.filter(lot__item=lot.item_id).order_by("id")
    rows = rows.select_related("lot").prefetch_related("constituents")
    latest = {row.lot_id: row for row in rows}
    own = latest.pop(lot.pk, None)
    if own is None:
        return []
    return [
        row.lot.code
        for row in latest.values()
        if (row.edition, row.dated) == (own.edition, own.dated)
        and _figures(row) != _figures(own)
    ]


def _figures(row: FragranceDocument) -> object:
    held = {part.inci.casefold(): part.share for part in row.constituents.all()}
    return row.flash_point, row.vanillin, row.most, row.no_allergens, held


def _document(row: FragranceDocument | None, held: dict[str, Decimal]) -> Document:
    if row is None:
        return Document(constituents=held)
    return Document(
        row.edition, row.flash_point, row.vanillin, row.most, held, row.no_allergens
    )


def doses_above(lot: Lot, stage: str) -> tuple[Dose, ...]:
    """Fragrances above their suppliers' highest dose in a lot that was made.

    Followed through every blend; a premix without soap is no dose of anything.
    """
    lots = family_lots(back_closure(lot.pk) | {lot.pk})
    limits = _limits([row for row in lots if row.item.category == FRAGRANCE])
    if not limits or (stage == Stage.PREPARATION and not _holds_soap(lots)):
        return ()
    held = contents_among(lot, lots)
    return above_the_most(
        (row.item.name, _share(held, row.code), limits[row.pk])
        for row in lots
        if row.pk in limits
    )


def _limits(fragrances: Sequence[Lot]) -> dict[int, Decimal | None]:
    """The lower of what a lot's document and its item's card allow."""
    if not fragrances:
        return {}
    documents = FragranceDocument.objects.filter(lot__in=fragrances).order_by("id")
    latest = dict(documents.values_list("lot", "most"))
    found = {}
    for lot in fragrances:
        allowed = (latest.get(lot.pk), lot.item.most)
        known = [most for most in allowed if most is not None]
        found[lot.pk] = min(known, default=None)
    return found if any(most is not None for most in found.values()) else {}


def _holds_soap(lots: Iterable[Lot]) -> bool:
    """Cooked here, bought, or opened with."""
    return any(lot.item.is_alkali or soap_from_outside(lot) for lot in lots)


def _share(held: Contents, code: str) -> Decimal:
    """Of what the lot holds now; where that is unknown, of all that was poured in."""
    if held.finished is not None and held.finished.total > 0:
        parts = [g for s, g in held.finished.items() if s.of == code]
        return sum(parts, Decimal(0)) / held.finished.total
    whole = sum(held.added.values(), Decimal(0))
    return held.added.get(code, Decimal(0)) / whole if whole else Decimal(0)
