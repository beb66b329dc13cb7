"""What is in a lot, from its family behind it, in a fixed number of queries."""

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal

from production.contents.domain.contents import (
    BatchFacts,
    Contents,
    Flow,
    LotFacts,
    Supplied,
    Value,
    contents,
)
from production.contents.reads.closure import back_closure
from production.record.reads.restated import as_now, by_day
from production.stock.domain.balance import net_grams
from production.stock.models.batches import Loss
from production.stock.models.lots import Lot, Movement
from production.stock.models.readings import Measurement
from production.workshop.models.items import Item
from production.workshop.reads.roles import role_of


def contents_of(lot: Lot) -> Contents:
    """Follow one lot back to what was bought and work out what it holds."""
    return contents_among(lot, family_lots(back_closure(lot.pk) | {lot.pk}))


def contents_among(lot: Lot, lots: Sequence[Lot]) -> Contents:
    """The same where the lot and all that is behind it are loaded already."""
    flows, started = _flows({row.pk for row in lots})
    values = _values({row.pk for row in lots})
    facts = [_facts(row, flows, started, tuple(values[row.pk])) for row in lots]
    return contents(facts, _batches(lots, started))[lot.code]


def family_lots(pks: Iterable[int]) -> list[Lot]:
    """Lots with all that tells what they are; one query."""
    lots = Lot.objects.filter(pk__in=set(pks))
    return list(lots.select_related("item__oil", "item__name_on_label", "batch"))


def added_by(
    uses: Sequence[tuple[Lot, Decimal, date]],
) -> tuple[list[Mapping[str, Decimal]], dict[str, Lot]]:
    """What each use takes of which lot from outside, written in the book or not.

    Grams by code, and those lots. What nothing was made of costs no query.
    """
    made = {lot.pk: lot for lot, _, _ in uses if lot.batch_id}
    known = {lot.code: lot for lot, _, _ in uses}
    if not made:
        return [{lot.code: amount} for lot, amount, _ in uses], known
    pks = set(made).union(*(back_closure(pk) for pk in made))
    lots = family_lots(pks)
    flows, started = _flows(pks)
    facts = {row.code: _facts(row, flows, started) for row in lots}
    batches = [_bare(row, started[row.pk]) for row in lots if row.batch_id]
    for number, (lot, amount, on) in enumerate(uses):
        if lot.pk not in made:
            continue
        # A pot of its own for each use; no code of the book begins like this.
        pot = f"\0{number}"
        facts[lot.code] = _with_flow(facts[lot.code], Flow("used", -amount, on, pot))
        facts[pot] = LotFacts(pot, Decimal(0), (), batch=pot)
        batches.append(BatchFacts(pot, "", made=None))
    found = contents(facts.values(), batches)
    known |= {row.code: row for row in lots}
    return [
        found[f"\0{number}"].added if lot.pk in made else {lot.code: amount}
        for number, (lot, amount, _) in enumerate(uses)
    ], known


def _bare(lot: Lot, started: Decimal) -> BatchFacts:
    """A batch without its losses: what was added does not ask for them."""
    return BatchFacts(lot.batch.code, lot.batch.stage, made=grams_of(lot, started))


def _with_flow(lot: LotFacts, flow: Flow) -> LotFacts:
    """In its place in the book's order: the last of its day."""
    spot = bisect_right([one.on for one in lot.flows], flow.on)
    return replace(lot, flows=(*lot.flows[:spot], flow, *lot.flows[spot:]))


def _flows(
    pks: Iterable[int],
) -> tuple[dict[int, list[Flow]], dict[int, Decimal]]:
    """What became of each lot, and with how much it started; one query."""
    rows = (
        Movement.objects.standing()
        .filter(lot__in=pks)
        .in_book_order()
        .values_list("lot_id", "kind", "amount", "on", "batch__code")
    )
    flows: dict[int, list[Flow]] = defaultdict(list)
    started: dict[int, Decimal] = defaultdict(Decimal)
    for pk, kind, amount, on, batch in rows:
        if kind in Movement.STARTS:
            started[pk] += amount
        else:
            flows[pk].append(Flow(kind, amount, on, batch or ""))
    return flows, started


def _facts(
    lot: Lot,
    flows: Mapping[int, list[Flow]],
    started: Mapping[int, Decimal],
    values: tuple[Value, ...] = (),
) -> LotFacts:
    return LotFacts(
        code=lot.code,
        started=started[lot.pk],
        flows=tuple(flows[lot.pk]),
        batch=lot.batch.code if lot.batch_id else "",
        supplied=None if lot.batch_id else supplied(lot, values),
    )


def _values(pks: Iterable[int]) -> dict[int, list[Value]]:
    """Readings of the lots: a measured value outranks a stated one of the same day."""
    rows = Measurement.objects.filter(
        lot__in=pks, value__isnull=False, basis__in=Measurement.VALUES
    ).order_by("-basis", "id")
    found: dict[int, list[Value]] = defaultdict(list)
    for row in by_day(as_now(rows)):
        found[row.lot_id].append(Value(row.on, row.what, row.value))
    return found


def materials_without_role() -> list[Item]:
    """Materials of which neither card nor name says what they are in the pot."""
    rows = Item.objects.filter(kind=Item.Kind.MATERIAL, category="")
    rows = rows.select_related("name_on_label").order_by("name")
    return [item for item in rows if not role_of(item)]


def origin_role(item: Item) -> str:
    """What a lot of it is, where it came from outside.

    What is made here came as soap, unless its card says what else it is.
    """
    if item.kind == Item.Kind.MADE and not item.category:
        return "soap"
    if item.category == Item.Category.SOAP:
        return "soap"
    return role_of(item)


def soap_from_outside(lot: Lot) -> bool:
    """Soap that was not cooked here: nobody knows what fat and alkali it holds."""
    return not lot.batch_id and origin_role(lot.item) == "soap"


def supplied(lot: Lot, values: tuple[Value, ...]) -> Supplied:
    """What a lot from outside is in the pot."""
    item = lot.item
    return Supplied(
        role=role_of(item),
        item=item.name,
        alkali=item.alkali,
        acid=item.acid,
        sv=item.oil.sv if item.oil else None,
        oil_kind=item.oil.kind if item.oil else "fat",
        values=values,
    )


def _batches(lots: Iterable[Lot], started: dict[int, Decimal]) -> list[BatchFacts]:
    made = [lot for lot in lots if lot.batch_id]
    steam: dict[int, Decimal] = defaultdict(Decimal)
    other: dict[int, Decimal] = defaultdict(Decimal)
    losses = Loss.objects.filter(batch__in=[lot.batch_id for lot in made])
    for loss in as_now(losses):
        into = steam if loss.kind == Loss.Kind.STEAM else other
        into[loss.batch_id] += loss.amount
    return [
        BatchFacts(
            code=lot.batch.code,
            stage=lot.batch.stage,
            made=grams_of(lot, started[lot.pk]),
            steam=steam[lot.batch_id],
            other_losses=other[lot.batch_id],
        )
        for lot in made
    ]


def grams_here(lot: Lot | None) -> Decimal | None:
    """Grams of what is on hand of a lot; None where that is nothing, or not known."""
    return grams_of(lot, lot.on_hand) if lot is not None and lot.on_hand > 0 else None


def grams_of(lot: Lot, amount: Decimal | None) -> Decimal | None:
    """Grams of so much of a lot; None of pieces without a net mass."""
    if amount is None or lot.item.unit == Item.Unit.GRAM:
        return amount
    return net_grams(amount, lot.net_mass)
