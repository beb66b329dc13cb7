"""Cook, prepare, dilute, finish, fill, pack, rework: lots used, one lot made."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

from production.batches.actions.balancing import account_for, still_here, write_losses
from production.batches.actions.dosing import hold_if_overdosed
from production.batches.actions.making_again import made_again
from production.batches.actions.new_batch import NewBatch, Output, Use
from production.batches.actions.pieces import pieces_agree
from production.batches.actions.steaming import refuse_more_steam_than_water
from production.batches.actions.uses import made_lot, put_in
from production.batches.actions.weighed import excess_kept_back
from production.batches.actions.working import write_work
from production.fitness.actions.guards import first_word, may_be_counted
from production.quantities.domain.refusal import Refused
from production.recipes.models.formulas import Version
from production.record.actions.deeds import deed, written
from production.record.actions.odd_dates import ask_expiry
from production.record.models.ink import Deed
from production.release.actions.readings import write_readings, write_step
from production.stock.actions.freed_codes import free_mark, same_as_before
from production.stock.actions.opening_lots import (
    NewLot,
    given_code,
    issue_mark,
    open_lot,
    set_status,
)
from production.stock.actions.posting import Entry, post
from production.stock.models.batches import RELEASED_ON_MAKING, Batch
from production.stock.models.lots import Lot, Movement, Status
from production.stock.models.readings import Measurement
from production.workshop.models.items import Item
from production.yields.domain.hours_and_losses import NewLoss, NewWork

KIND = Movement.Kind


@deed("start a batch", gives=Batch)
def start_batch(
    deed: Deed,
    *,
    stage: str,
    code: str = "",
    version: Version | None = None,
    expected: Decimal | None = None,
    follows: bool = True,
    loss: Decimal | None = None,
    trial: bool = False,
) -> Batch:
    """Open a batch. Without a typed ``expected`` the yield follows what goes in, by
    the ``loss`` that was planned with, else by that of the recipe; where it does not
    follow either, nothing is expected."""
    return open_batch(
        deed, stage, code, version, expected, trial, follows=follows, loss=loss
    )


def open_batch(
    deed: Deed,
    stage: str,
    code: str,
    version: Version | None,
    expected: Decimal | None,
    trial: bool = False,
    makes: Item | None = None,
    follows: bool = True,
    loss: Decimal | None = None,
) -> Batch:
    """The header of a batch, within a deed."""
    if version is not None and version.formula.stage != stage:
        raise Refused(f"{version} is for {version.formula.stage}, not for {stage}.")
    if expected is not None and expected <= 0:
        raise Refused("The expected output is more than nothing, or left open.")
    if loss is not None and not 0 <= loss < 1:
        raise Refused("The loss planned with is at least 0 % and below 100 %.")
    if code := given_code(code):
        free_mark(code, stage, makes or (version.formula.makes if version else None))
    else:
        code = issue_mark()
    by_recipe = version.loss if version is not None else None
    known = by_recipe if loss is None or version is None else loss
    return written(
        Batch(
            deed=deed,
            code=code,
            stage=stage,
            version=version,
            started=deed.on,
            expected=expected,
            follows=follows and expected is None and known is not None,
            loss=None if known == by_recipe else known,
            trial=trial,
        )
    )


@deed("use lots", moves_goods=True)
def use_lots(
    deed: Deed,
    *,
    batch: Batch,
    uses: Sequence[Use],
    override: bool = False,
    past: bool = False,
) -> None:
    """Take what goes into an open batch out of its lots.

    ``past`` is taken over from an earlier book, whose own hand judged its neutrality.
    """
    put_in(deed, batch, uses, override, past)
    if not past and any(use.lot and use.lot.item.is_alkali for use in uses):
        excess_kept_back(deed, batch)


def ready_to_end(deed: Deed, batch: Batch, once_made: str) -> None:
    """Refused unless it may end on that day; ``once_made`` ends the sentence that names
    what it has made."""
    still_here(batch)
    if made := made_lot(batch):
        raise Refused(f"{batch} has made {made} {once_made}")
    uses = batch.movements.used()
    if not uses.exists():
        raise Refused(f"Nothing has gone into {batch} yet.")
    if uses.filter(on__gt=deed.on).exists():
        raise Refused(f"{batch} used lots after {deed.on}. Choose a later day.")


@deed("make the lot", moves_goods=True, gives=Lot)
def make_lot(
    deed: Deed,
    *,
    batch: Batch,
    output: Output,
    losses: Sequence[NewLoss] = (),
    work: Sequence[NewWork] = (),
    lost_as: str = "",
    past: bool = False,
) -> Lot:
    """Weigh or count what came out: the batch is done and its lot exists.

    ``lost_as`` is what a maker calls the grams that are missing.
    """
    return close_batch(deed, batch, output, losses, work, past, lost_as)


def close_batch(
    deed: Deed,
    batch: Batch,
    output: Output,
    losses: Sequence[NewLoss],
    work: Sequence[NewWork],
    past: bool = False,
    lost_as: str = "",
    mark: str = "",
) -> Lot:
    """What came out, within a deed: the batch is done and its lot exists."""
    ready_to_end(deed, batch, "already. A batch makes one lot.")
    if output.amount <= 0:
        raise Refused(
            "Write how much came out, above zero. If nothing did, start the batch, "
            "write what went in, and say on its page that it was lost."
        )
    kept = "" if past else excess_kept_back(deed, batch)
    lot = _lot_of(deed, batch, replace(output, status=kept or output.status), past)
    if not past and lot.item.unit == Item.Unit.PIECE:
        may_be_counted(deed, batch)
    write_work(deed, batch, work)
    write_losses(deed, batch, losses)
    post(
        deed,
        [
            Entry(
                lot=lot,
                amount=output.amount,
                kind=KIND.MADE,
                on=deed.on,
                place=output.place,
                batch=batch,
                typed=output.typed,
            )
        ],
    )
    if not past:
        pieces_agree(deed, batch, lot, output.amount)
    account_for(deed, batch, lost_as, past, mark)
    refuse_more_steam_than_water(deed, batch, lot)
    if not past:
        hold_if_overdosed(deed, batch, lot)
    return lot


def _lot_of(deed: Deed, batch: Batch, output: Output, past: bool) -> Lot:
    version = batch.version
    item = output.item or (version.formula.makes if version else None)
    if item is None:
        raise Refused("Say what came out: name the paste, the soap or the product.")
    asked = output.status
    status = asked if past and asked else _first_status(deed, batch, item, asked)
    expires = output.expires
    ask_expiry(deed, [expires], sure=output.sure, came="was made")
    if expires is None and version is not None and version.shelf_days:
        expires = deed.on + timedelta(days=version.shelf_days)
    earlier = Lot.objects.filter(batch=batch).first()
    if earlier is not None:
        # Its making was taken back; the batch makes the same lot again.
        if earlier.item_id != item.pk:
            raise Refused(f"{batch} makes {earlier.item}, not {item}.")
        lot = made_again(
            earlier, code=output.code, expires=expires, net_mass=output.net_mass
        )
    else:
        if batch.deed_id != deed.pk:
            # Written whole, its mark was judged with its item.
            same_as_before(batch, item)
        new = NewLot(
            amount=output.amount,
            code=output.code,
            expires=expires,
            net_mass=output.net_mass,
            labelled=output.labelled,
        )
        lot = open_lot(deed, item, new, batch=batch)
    set_status(deed, lot, status)
    return lot


def _first_status(deed: Deed, batch: Batch, item: Item, asked: str) -> str:
    """As asked or as the recipe says, but for what is stopped or waits for a check."""
    if batch.version is not None:
        on_making = batch.version.release == Version.Release.MAKING
    else:
        on_making = batch.stage in RELEASED_ON_MAKING
    first = asked or (Status.Word.RELEASED if on_making else Status.Word.QUARANTINE)
    return first_word(deed, batch, item, first)


@deed("run a batch", moves_goods=True, gives=Lot)
def run_batch(
    deed: Deed,
    *,
    stage: str,
    uses: Sequence[Use],
    output: Output,
    code: str = "",
    version: Version | None = None,
    expected: Decimal | None = None,
    follows: bool = True,
    loss: Decimal | None = None,
    trial: bool = False,
    losses: Sequence[NewLoss] = (),
    work: Sequence[NewWork] = (),
    steps: Sequence[str] = (),
    lost_as: str = "",
    override: bool = False,
    past: bool = False,
) -> Lot:
    """A whole batch in one deed: what went in and what came out on one day."""
    new = NewBatch(
        stage=stage,
        output=output,
        uses=uses,
        code=code,
        version=version,
        expected=expected,
        follows=follows,
        loss=loss,
        trial=trial,
        losses=losses,
        work=work,
        steps=steps,
        lost_as=lost_as,
    )
    return post_batch(deed, new, override=override, past=past)


def post_batch(
    deed: Deed, new: NewBatch, *, override: bool = False, past: bool = False
) -> Lot:
    """A whole batch within a deed, the same through every door: its lot.

    What was read is of the lot, of a sample drawn after all had gone in.
    """
    batch = open_batch(
        deed,
        new.stage,
        new.code,
        new.version,
        new.expected,
        new.trial,
        new.output.item,
        new.follows,
        new.loss,
    )
    put_in(deed, batch, new.uses, override, past)
    for text in new.steps:
        write_step(deed, batch, text)
    lot = close_batch(
        deed, batch, new.output, new.losses, new.work, past, new.lost_as, new.mark
    )
    if new.readings:
        after = Measurement.Sampled.AFTER
        rows = [replace(row, sampled=row.sampled or after) for row in new.readings]
        write_readings(deed, rows, lot=lot)
    return lot
