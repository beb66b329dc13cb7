"""What a paste is worked out from: oils with their acids, and the alkali at hand."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal

from production.domain.chemistry.profile import AcidShare
from production.domain.cooking import Fat, Line, Terms
from production.domain.mixing import Part
from production.domain.refusal import Refused
from production.models import (
    Item,
    Measurement,
    ReferenceComposition,
    ReferenceOil,
    Version,
    VersionLine,
    Workshop,
)
from production.reads.restated import as_now, by_day

WHAT = Measurement.What


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
    fats = {pk: _fat(oil, acids[pk]) for pk, oil in oils.items()}
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
    """The latest purity in the book of acids, by the key of the item; one query."""
    rows = Measurement.objects.filter(
        lot__item__in=[item.pk for item in items if item.acid],
        what=WHAT.PURITY,
        value__isnull=False,
        basis__in=Measurement.VALUES,
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
        basis__in=Measurement.VALUES,
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


def balance_step() -> Decimal:
    """The smallest step of the workshop's balance in grams; 0 where nobody said it."""
    step = Workshop.objects.values_list("balance_step", flat=True).first()
    return step or Decimal(0)
