"""What one piece of a lot holds, as the book knows it, beside what is declared."""

from collections.abc import Iterable
from decimal import Decimal

from labels.domain.facts import Found
from labels.domain.fill import Fill, judge, single_packs
from labels.domain.net_contents import read_contents
from labels.domain.rules import RuleSet
from labels.models import LabelCard
from production.models import Item, Lot, Measurement, Movement
from production.quantities.domain.refusal import Refused
from production.stock.reads.readings import best_of, read_of

DENSITY = Measurement.What.DENSITY
INSIDE = "What is inside"


def fill_found(
    card: LabelCard, lot: Lot | None, rules: RuleSet
) -> tuple[tuple[Found, ...], tuple[str, ...]]:
    """How the contents of a card stand with the fill of a lot, and what to measure.

    Nothing without a lot, and nothing where the contents cannot be read: their own
    element says why.
    """
    if lot is None or not card.declared.strip():
        return (), ()
    try:
        contents = rules.contents(read_contents(card.declared))
    except Refused:
        return (), ()
    judged = judge(contents, fill_of(lot, by_volume=contents.declared.by_volume))
    if judged.asks:
        return (), (judged.asks,)
    clause = rules.clause("fill").cited
    if judged.short:
        return (Found(INSIDE, "missing", clause, judged.short),), ()
    says = f"{judged.holds} {single_packs(contents)}" if rules.packers else judged.holds
    return (Found(INSIDE, "present", clause, says.strip()),), ()


def fill_reasons(card: LabelCard, lot: Lot | None, rules: RuleSet) -> tuple[str, ...]:
    """Why the contents of a card are more than a piece of a lot holds; mostly none."""
    found, _ = fill_found(card, lot, rules)
    return tuple(one.says for one in found if one.missing)


def fill_of(lot: Lot, *, by_volume: bool) -> Fill:
    """What a piece of a lot holds. Its density is the highest of what went in: of
    several, the least volume is promised."""
    if lot.item.unit != Item.Unit.PIECE:
        return Fill(
            asks=f"Not compared with the fill: {lot} is counted in grams, so that "
            "nobody said what one of them holds."
        )
    if lot.net_mass is None:
        return Fill(
            asks="Not compared with the fill: write on the lot "
            f"{lot} how many grams one piece holds."
        )
    of = f"one of {lot}"
    if not by_volume:
        return Fill(lot.net_mass, of=of)
    poured = _poured(lot)
    known = _densities([lot, *poured])
    if lot in known:
        return Fill(lot.net_mass, known[lot], of)
    unknown = [one for one in poured if one not in known]
    if unknown or not poured:
        named = " and ".join(str(one) for one in unknown) or str(lot)
        return Fill(
            lot.net_mass,
            of=of,
            asks="Not compared with the fill: measure the density at 20 °C and note "
            f"it as a reading of {named}.",
        )
    densest = max(poured, key=lambda one: known[one])
    return Fill(lot.net_mass, known[densest], of, f" of {densest}")


def _poured(lot: Lot) -> list[Lot]:
    """The lots in grams that were filled into it; none of a lot from elsewhere."""
    if lot.batch_id is None:
        return []
    rows = Movement.objects.used().filter(
        batch=lot.batch_id, lot__item__unit=Item.Unit.GRAM
    )
    return list(
        {row.lot_id: row.lot for row in rows.select_related("lot__item")}.values()
    )


def _densities(lots: Iterable[Lot]) -> dict[Lot, Decimal]:
    """Measured of a lot or its batch; else stated; else on the card of its item."""
    lots = list(lots)
    batches = {one.batch_id: one for one in lots if one.batch_id is not None}
    known: dict[Lot, dict[tuple[str, str], Decimal]] = {one: {} for one in lots}
    of_lot = {one.pk: one for one in lots}
    rows = [
        *read_of(what=DENSITY, batch__in=list(batches)),
        *read_of(what=DENSITY, lot__in=list(of_lot)),
    ]
    for row in rows:
        lot = of_lot.get(row.lot_id) or batches.get(row.batch_id)
        if lot is not None and row.value is not None:
            known[lot][row.what, row.basis] = row.value
    found: dict[Lot, Decimal] = {}
    for one in lots:
        value, _ = best_of(known[one], DENSITY, Measurement.VALUES)
        value = value if value is not None else one.item.density
        if value is not None:
            found[one] = value
    return found
