"""What an assessor is handed of a lot, from what really went in."""

from collections.abc import Iterable, Mapping
from decimal import Decimal

from labels.domain.composition_sheet import (
    CompositionSheet,
    Ingredient,
    Source,
    both,
)
from labels.domain.name_book import folded
from labels.domain.parts import Part
from labels.reads.assessments import is_scent, packs_of
from labels.reads.kinds import label_names
from labels.reads.listing import parts_in_both
from labels.reads.tables import name_book, rows_of
from production.contents.domain.contents import Contents
from production.contents.reads.closure import back_closure
from production.contents.reads.contents import contents_of
from production.models import (
    Batch,
    FragranceDocument,
    InciName,
    Lot,
    Measurement,
)
from production.quantities.domain.refusal import Refused

What = Measurement.What


def shares_of(held: Contents) -> dict[str, Decimal]:
    """Percent of the finished product by label name, what a fragrance holds among it.

    A name that only went in and reacted stands with 0. Raises Refused where something
    about a source is not known, and names it.
    """
    if held.finished is None:
        raise Refused(" ".join(held.missing))
    added, finished, _ = parts_in_both(held, name_book())
    shares = {part.inci: Decimal(0) for part in added}
    for part in finished:
        shares[part.inci] = shares.get(part.inci, Decimal(0)) + part.percent
    return shares


def composition_sheet(lot: Lot) -> CompositionSheet:
    """The sheet of one lot; what is not known is said, and the rest stands.

    Raises Refused where nothing went in, and where a source has no label name.
    """
    held = contents_of(lot)
    sources = _lots(held)
    made, notes = ingredients_of(held, {one.code: one for one in sources})
    return CompositionSheet(
        product=lot.item.name,
        of=f"lot {lot.code}, made on {lot.deed.on:%Y-%m-%d}",
        recipes=_recipes(lot),
        ingredients=made,
        sources=_sources(sources),
        ph=measured(lot, What.PH),
        free_alkali=measured(lot, What.FREE_ALKALI),
        packs=packs_of(lot),
        unknown=(
            *(held.missing if held.finished is None else ()),
            *_without_papers(sources),
        ),
        notes=notes,
    )


def ingredients_of(
    held: Contents, lots: Mapping[str, Lot]
) -> tuple[tuple[Ingredient, ...], tuple[str, ...]]:
    """Every name with its shares, and notes; ``lots`` by code may be of a plan.

    Raises Refused where nothing went in, and where a source has no label name.
    """
    added, finished, notes = parts_in_both(held, name_book(), lots)
    names = {part.inci for part in (*added, *finished)}
    made = both(_shown(added), _shown(finished), _cas(names), _functions(lots.values()))
    return made, tuple(dict.fromkeys((*notes, *held.notes)))


def _shown(parts: Iterable[Part]) -> list[tuple[str, Decimal, bool]]:
    return [(part.inci, part.percent, part.role == "allergen") for part in parts]


def _lots(held: Contents) -> list[Lot]:
    rows = Lot.objects.filter(code__in=held.added).order_by("item__name", "code")
    rows = rows.select_related("item__name_on_label", "line__purchase__supplier")
    return list(rows.prefetch_related("item__mixture"))


def _cas(names: Iterable[str]) -> dict[str, str]:
    """The number of each name that the inventory's table knows."""
    wanted = {folded(name) for name in names}
    rows = list(InciName.objects.exclude(cas="").values_list("inci", "cas"))
    rows += [(row["label"], row["cas"]) for row in rows_of("allergens") if row["cas"]]
    return {name.casefold(): cas for name, cas in rows if name.casefold() in wanted}


def _functions(lots: Iterable[Lot]) -> dict[str, str]:
    return {
        name.casefold(): lot.item.get_category_display()
        for lot in lots
        if lot.item.category
        for name in label_names(lot.item)
    }


def _sources(lots: Iterable[Lot]) -> tuple[Source, ...]:
    papers = _papers(lots)
    return tuple(
        Source(
            item=lot.item.name,
            lot=lot.code,
            supplier=_supplier(lot),
            supplier_lot=lot.supplier_lot,
            papers=papers.get(lot.pk, ()),
        )
        for lot in lots
    )


def _supplier(lot: Lot) -> str:
    supplier = lot.line.purchase.supplier if lot.line else None
    return supplier.name if supplier else ""


def _papers(lots: Iterable[Lot]) -> Mapping[int, tuple[str, ...]]:
    """The edition of a fragrance's document, and the files kept beside each lot."""
    pks = [lot.pk for lot in lots]
    found: dict[int, list[str]] = {}
    editions = FragranceDocument.objects.filter(lot__in=pks).order_by("-id")
    for row in editions:
        found.setdefault(row.lot_id, [f"allergens: {row.edition}"])
    for lot in Lot.objects.filter(pk__in=pks).prefetch_related("attachments"):
        names = [paper.name for paper in lot.attachments.all()]
        if names:
            found.setdefault(lot.pk, []).extend(names)
    return {pk: tuple(papers) for pk, papers in found.items()}


def _without_papers(lots: Iterable[Lot]) -> list[str]:
    fragrances = [lot for lot in lots if is_scent(lot.item)]
    noted = set(
        FragranceDocument.objects.filter(lot__in=fragrances).values_list(
            "lot_id", flat=True
        )
    )
    return [
        f"What allergens {lot.item} ({lot.code}) holds: no document of its supplier is "
        "written down."
        for lot in fragrances
        if lot.pk not in noted
    ]


def _recipes(lot: Lot) -> tuple[str, ...]:
    batches = Batch.objects.filter(lot__in=back_closure(lot.pk) | {lot.pk})
    rows = batches.filter(version__isnull=False).values_list(
        "version__formula__name", "version__number"
    )
    return tuple(f"{name} v{number}" for name, number in sorted(set(rows)))


def measured(lot: Lot, what: str) -> Decimal | None:
    """The last value measured of it, or of what it was filled from; None where none."""
    for pks in ({lot.pk}, _filled_from(lot)):
        rows = Measurement.objects.filter(
            lot__in=pks,
            what=what,
            value__isnull=False,
            basis=Measurement.Basis.MEASURED,
        ).order_by("-on", "-id")
        value = rows.values_list("value", flat=True).first()
        if value is not None:
            return value
    return None


def _filled_from(lot: Lot) -> set[int]:
    """The made lots that went straight into its batch."""
    if not lot.batch_id:
        return set()
    used = lot.batch.movements.filter(kind="used", lot__batch__isnull=False)
    return set(used.values_list("lot_id", flat=True))
