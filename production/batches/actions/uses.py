"""What goes into a batch, lot by lot."""

from collections.abc import Sequence
from datetime import date

from production.batches.actions.balancing import still_here
from production.batches.actions.new_batch import Use
from production.buying.actions.purchases import draw_from_tap
from production.contents.reads.closure import forward_closure
from production.fitness.actions.guards import may_go_in
from production.quantities.domain.refusal import Refused
from production.record.actions.people import owner_only, reason_asked
from production.record.models.ink import Deed
from production.stock.actions.posting import Entry, post
from production.stock.models.batches import COUNTED, Batch, Stage
from production.stock.models.lots import Lot, Movement, Status
from production.stock.reads.stock import status_on
from production.workshop.models.items import Item

KIND = Movement.Kind


def put_in(
    deed: Deed,
    batch: Batch,
    uses: Sequence[Use],
    override: bool = False,
    past: bool = False,
) -> None:
    """The uses of one deed, posted; the lots they came from are judged first."""
    if not uses:
        raise Refused("Nothing was entered: write how much of which lot goes in.")
    if override:
        owner_only(deed.by, "use an expired lot")
        reason_asked(deed, "using an expired lot")
    still_here(batch)
    made = made_lot(batch)
    lots = [use.lot for use in uses if use.lot]
    may_go_in(deed, batch, lots, override=override, past=past)
    entries: list[Entry] = []
    for use in uses:
        if use.amount <= 0:
            raise Refused("Write an amount above zero for each lot.")
        lot = use.lot or _from_tap(deed, use)
        if made is not None:
            _may_join_later(batch, lot, made)
        _the_right_alkali(batch, lot)
        if use.surplus:
            entries.append(_surplus(deed, lot, use))
        entries.append(
            Entry(
                lot=lot,
                amount=-use.amount,
                kind=KIND.USED,
                on=deed.on,
                place=use.place,
                batch=batch,
                typed=use.typed,
            )
        )
    post(deed, entries)


def _from_tap(deed: Deed, use: Use) -> Lot:
    if use.item is None:
        raise Refused("Say which lot the amount comes from.")
    return draw_from_tap(deed, use.item, use.amount, deed.on)


def _surplus(deed: Deed, lot: Lot, use: Use) -> Entry:
    if use.surplus < 0:
        raise Refused("A surplus is what there was above the book: write it positive.")
    return Entry(
        lot=lot, amount=use.surplus, kind=KIND.COUNTED, on=deed.on, place=use.place
    )


def _the_right_alkali(batch: Batch, lot: Lot) -> None:
    """Soda in a potash paste, or the other way round, is a wrong tub."""
    version, alkali = batch.version, lot.item.alkali
    if version is None or batch.stage != Stage.COOK or not alkali:
        return
    share = version.koh_share if alkali == "KOH" else 1 - version.koh_share
    if share == 0:
        other = "NaOH" if alkali == "KOH" else "KOH"
        raise Refused(
            f"{lot} is {lot.item} ({alkali}); {version} is cooked with {other} alone. "
            "Put the tub back and read the code of the right one."
        )


def _may_join_later(batch: Batch, lot: Lot, made: Lot) -> None:
    if batch.stage not in COUNTED or lot.item.kind != Item.Kind.PACKAGING:
        raise Refused(
            f"{batch} has made {made} already. What went in is corrected through its "
            "entries; only packaging may be added, until the lot is released."
        )
    if status_on(made, date.max) == Status.Word.RELEASED:
        raise Refused(f"{made} is released: nothing is added to it any more.")
    if lot.pk == made.pk or lot.pk in forward_closure(made.pk):
        raise Refused(f"{lot} was made from {made}: it cannot go back into it.")


def made_lot(batch: Batch) -> Lot | None:
    """The lot that a batch has made, None while it is open."""
    entry = batch.movements.made().first()
    return entry.lot if entry else None
