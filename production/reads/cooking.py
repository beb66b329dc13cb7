"""What a paste is worked out from: oils with their acids, and the alkali at hand."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence, Set
from dataclasses import replace
from decimal import Decimal

from production.domain.chemistry.profile import AcidShare, itself
from production.domain.chemistry.recipe import alkalis_used
from production.domain.cooking import Fat, Line, Lye, Terms
from production.domain.mixing import Part
from production.domain.numbers import plain
from production.domain.refusal import Refused
from production.models import (
    Item,
    Lot,
    Measurement,
    ReferenceComposition,
    ReferenceOil,
    Status,
    Version,
    VersionLine,
    Workshop,
)
from production.reads.restated import as_now, by_day

WHAT = Measurement.What
# Measured counts before stated; a floor only where nothing better is known.
BASES = ("measured", "stated", "minimum")


def fats_of(items: Iterable[Item]) -> dict[int, Fat]:
    """The published values of oils, by the key of the item; one query."""
    oils = {item.oil_id: item.oil for item in items if item.oil_id}
    acids: dict[int, list[AcidShare]] = defaultdict(list)
    rows = ReferenceComposition.objects.filter(oil__in=oils).select_related("acid")
    for row in rows.order_by("acid__key"):
        shares = (row.percent_low, row.percent_typical, row.percent_high)
        low, typical, high = (
            None if share is None else share / 100 for share in shares
        )
        acids[row.oil_id].append(AcidShare(row.acid.key, low, typical, high))
    fats = {
        pk: _fat(oil, acids[pk] or itself(oil.kind, oil.origin))
        for pk, oil in oils.items()
    }
    return {item.pk: fats[item.oil_id] for item in items if item.oil_id}


def _fat(oil: ReferenceOil, acids: Sequence[AcidShare]) -> Fat:
    return Fat(
        sv=oil.sv,
        sv_low=oil.sv_low,
        sv_high=oil.sv_high,
        kind=oil.kind,
        iodine_low=oil.iodine_low,
        iodine_high=oil.iodine_high,
        acids=tuple(acids),
    )


def purities_of(items: Iterable[Item]) -> dict[int, Decimal]:
    """The latest purity in the book, by the key of the item; one query."""
    rows = Measurement.objects.filter(
        lot__item__in=[item.pk for item in items],
        what=WHAT.PURITY,
        value__isnull=False,
        basis__in=("measured", "stated"),
    )
    found = by_day(as_now(rows.select_related("lot").order_by("id")))
    return {row.lot.item_id: row.value for row in found}


def lines_for(parts: Sequence[tuple[Item, Decimal, str]]) -> list[Line]:
    """Lines from (item, share of the oils, where it goes in); two queries.

    Refused for an oil without a saponification value.
    """
    items = [item for item, _, _ in parts]
    fats, purities = fats_of(items), purities_of(items)
    lines = []
    for item, share, goes_in in parts:
        if item.is_alkali:
            raise Refused(
                f"Leave {item} out of the lines: the alkali is worked out from the "
                "oils and from the purity of its lot."
            )
        if item.category == Item.Category.OIL and goes_in:
            raise Refused(f"{item} is an oil: it goes in with the rest.")
        fat = fats.get(item.pk) if item.category == Item.Category.OIL else None
        if item.category == Item.Category.OIL and fat is None:
            raise Refused(
                f"{item} has no saponification value: choose its published oil on its "
                "card. None is assumed."
            )
        purity = purities.get(item.pk)
        lines.append(Line(item.name, share, goes_in, fat, item.acid, purity))
    return lines


def lines_of(version: Version) -> list[Line]:
    """The lines of a version that stands; three queries."""
    rows = version.lines.select_related("item__oil")
    return lines_for([(row.item, row.share, row.goes_in) for row in rows])


def lines_from_lots(
    lines: Sequence[VersionLine],
    drawn: Mapping[int, Sequence[tuple[str, Decimal]]],
    oils: Decimal,
) -> list[Line]:
    """The lines of a version, oils split by the lots they would come from.

    ``drawn`` is (code, grams) by the key of the item. A lot with a certificate of its
    own counts with that; three queries.
    """
    plain_lines = lines_for([(row.item, row.share, row.goes_in) for row in lines])
    own = own_values([code for lots in drawn.values() for code, _ in lots if code])
    found = []
    for row, line in zip(lines, plain_lines, strict=True):
        # An item in two lines has its lots shared between them: taken as published.
        alone = sum(other.item_id == row.item_id for other in lines) == 1
        lots = drawn.get(row.item_id, ()) if alone else ()
        if line.fat is None or not any(code in own for code, _ in lots):
            found.append(line)
            continue
        left = line.share
        for code, grams in lots[:-1]:
            found.append(_of_lot(line, grams / oils, code, own))
            left -= grams / oils
        found.append(_of_lot(line, left, lots[-1][0], own))
    return found


def _of_lot(
    line: Line, share: Decimal, code: str, own: Mapping[str, dict[str, Decimal]]
) -> Line:
    values = own.get(code, {})
    fat, sv = line.fat, values.get(WHAT.SAPONIFICATION_VALUE)
    if fat is not None and sv is not None:
        acid_value = values.get(WHAT.ACID_VALUE, fat.acid_value)
        fat = replace(fat, sv=sv, sv_low=sv, sv_high=sv, acid_value=acid_value)
    return replace(line, name=f"{line.name}, {code}", share=share, fat=fat)


def own_values(codes: Sequence[str]) -> dict[str, dict[str, Decimal]]:
    """What a lot's certificate says: measured before stated, the latest of each."""
    rows = Measurement.objects.filter(
        lot__code__in=codes,
        what__in=(WHAT.SAPONIFICATION_VALUE, WHAT.ACID_VALUE),
        basis__in=("measured", "stated"),
        value__isnull=False,
    ).select_related("lot")
    found: dict[str, dict[str, Decimal]] = defaultdict(dict)
    # Stated ones first, so that a measured one takes their place.
    latest_last = by_day(as_now(rows.order_by("id")))
    for row in sorted(latest_last, key=lambda row: row.basis, reverse=True):
        found[row.lot.code][row.what] = row.value
    return found


def part_of(item: Item, share: Decimal | None, each: Decimal | None) -> Part:
    """A line of a stage after the kettle, with what its card says."""
    return Part(
        name=item.name,
        share=share,
        each=each,
        unit=item.unit,
        category=item.category,
        acid=item.acid,
        most=item.most,
        ph_low=item.ph_low,
        ph_high=item.ph_high,
    )


def terms_of(version: Version) -> Terms:
    """How a version sets the lye."""
    if version.superfat is None:
        raise Refused(f"{version} says no superfat: it is no cook.")
    return Terms(
        superfat=version.superfat,
        koh_share=version.koh_share,
        lye_excess=version.lye_excess,
        water_per_alkali=version.water_per_alkali,
        lye_strength=version.lye_strength,
        loss=version.loss,
    )


def lye_of(lot: Lot) -> Lye:
    """What the book says of one alkali lot; refused where it says no purity."""
    lye = lyes_known([lot]).get(lot.pk)
    if lye is None:
        raise Refused(
            f"The purity of {lot} is not in the book. Note it from the tub or its "
            "certificate first: none is assumed."
        )
    return lye


class WhichTub(Refused):
    """Tubs of one alkali differ: a person says which; (alkali, code, strength) each."""

    def __init__(self, alkali: str, tubs: Sequence[tuple[Lot, Lye | None]]) -> None:
        self.tubs = [(alkali, lot.code, strength(lye)) for lot, lye in tubs]
        told = ", ".join(f"{code} is {words}" for _, code, words in self.tubs)
        super().__init__(
            f"Say which {alkali} is weighed from, by the code on its tub: {told}. "
            "While they differ, nothing is taken by itself."
        )


def strength(lye: Lye | None) -> str:
    """As a sentence says it."""
    if lye is None:
        return "of a purity that is not in the book"
    floor = "at least " if lye.is_floor else ""
    return f"{floor}{plain(lye.purity * 100)} %"


def lyes_for(used: Iterable[str], chosen: Mapping[str, Lot]) -> dict[str, Lye]:
    """The alkalis that are used: of the tub chosen, else of tubs that are all alike.

    Left out where no tub is in the book; WhichTub where they differ.
    """
    used = set(used)
    asked = {kind: lye_of(lot) for kind, lot in chosen.items() if kind in used}
    alike = _of_one_strength(used - set(asked))
    return asked | {alkali: lye for alkali, (_, lye) in alike.items()}


def tubs_at_hand(used: Iterable[str]) -> dict[str, Lot]:
    """The last tub of each alkali used, where every one at hand is alike.

    Raises WhichTub where they differ in purity or in how it is known.
    """
    return {alkali: lot for alkali, (lot, _) in _of_one_strength(set(used)).items()}


def _of_one_strength(used: Set[str]) -> dict[str, tuple[Lot, Lye]]:
    found = {}
    for alkali, tubs in _tubs().items() if used else ():
        if alkali in used and not _alike(tubs):
            raise WhichTub(alkali, tubs)
        lot, lye = tubs[-1]
        if alkali in used and lye is not None:
            found[alkali] = lot, lye
    return found


def _alike(tubs: Sequence[tuple[Lot, Lye | None]]) -> bool:
    return len({(lye.purity, lye.basis) if lye else None for _, lye in tubs}) == 1


def used_of(lyes: Mapping[str, Lye], koh_share: Decimal) -> dict[str, Lye]:
    """Those that a potassium share asks for, of the ones that are known."""
    used = alkalis_used(koh_share)
    return {alkali: lye for alkali, lye in lyes.items() if alkali in used}


def balance_step() -> Decimal:
    """The smallest step of the workshop's balance in grams; 0 where nobody said it."""
    step = Workshop.objects.values_list("balance_step", flat=True).first()
    return step or Decimal(0)


def latest_tubs() -> dict[str, Lot]:
    """The tub last taken in that has a purity: for a price, never to weigh from."""
    return {
        alkali: known[-1]
        for alkali, tubs in _tubs().items()
        if (known := [lot for lot, lye in tubs if lye is not None])
    }


def _tubs() -> dict[str, list[tuple[Lot, Lye | None]]]:
    """Of each alkali the tubs with something left, in the order they came; two queries.

    Released ones; where none is, those that wait.
    """
    lots = list(
        Lot.objects.filter(item__alkali__in=["KOH", "NaOH"])
        .to_go_on()
        .select_related("item__oil")
        .order_by("pk")
    )
    known = lyes_known(lots)
    found: dict[str, list[tuple[Lot, Lye | None]]] = {}
    for alkali in dict.fromkeys(lot.item.alkali for lot in lots):
        of_it = [lot for lot in lots if lot.item.alkali == alkali]
        free = [lot for lot in of_it if lot.status == Status.Word.RELEASED]
        found[alkali] = [(lot, known.get(lot.pk)) for lot in free or of_it]
    return found


def lyes_known(lots: Sequence[Lot]) -> dict[int, Lye]:
    """Purity and carbonate of alkali lots, by their keys; one query."""
    values: dict[int, dict[tuple[str, str], Decimal]] = defaultdict(dict)
    rows = Measurement.objects.filter(
        lot__in=[lot.pk for lot in lots],
        what__in=(WHAT.PURITY, WHAT.CARBONATE),
        value__isnull=False,
    )
    for row in by_day(as_now(rows.order_by("id"))):
        values[row.lot_id][row.what, row.basis] = row.value
    found = {}
    for lot in lots:
        known = values[lot.pk]
        basis = next((b for b in BASES if (WHAT.PURITY, b) in known), "")
        if not basis:
            continue
        carbonates = (known.get((WHAT.CARBONATE, b)) for b in ("measured", "stated"))
        found[lot.pk] = Lye(
            purity=known[WHAT.PURITY, basis],
            carbonate=next((c for c in carbonates if c is not None), Decimal(0)),
            basis=basis,
            source=lot.code,
        )
    return found
