"""What went wrong, by its name: losses of a batch, and a batch that is lost whole."""

from collections.abc import Sequence

from production.batches.actions.balancing import judge_again, still_here, write_losses
from production.batches.actions.batches import ready_to_end
from production.batches.actions.working import write_work
from production.quantities.domain.refusal import Refused
from production.record.actions.deeds import deed, written
from production.record.actions.people import reason_asked
from production.record.models.ink import Deed
from production.record.reads.restated import as_now
from production.stock.models.batches import Batch, Loss, LostBatch
from production.yields.domain.hours_and_losses import NewLoss, NewWork
from production.yields.domain.yields import NORMAL


@deed("name a loss")
def name_loss(deed: Deed, *, batch: Batch, losses: Sequence[NewLoss]) -> None:
    """Grams that went another way than into the lot."""
    still_here(batch)
    write_losses(deed, batch, losses)
    judge_again(deed, batch)


@deed("call a loss otherwise", gives=Loss)
def rename_loss(deed: Deed, *, loss: Loss, kind: str) -> Loss:
    """The same grams under the right name; the first name stays readable."""
    still_here(loss.batch)
    reason_asked(deed, "the other name")
    found = as_now(Loss.objects.filter(pk=loss.pk))
    if not found:
        raise Refused("This loss was taken back or has another name: open the batch.")
    if kind == loss.kind:
        raise Refused(f"It is called {kind} already: choose what it was instead.")
    return written(
        Loss(
            deed=deed,
            batch=loss.batch,
            kind=kind,
            amount=found[0].amount,
            root=loss.root or loss,
            on=deed.on,
        )
    )


@deed("lose a batch", gives=LostBatch)
def lose_batch(
    deed: Deed, *, batch: Batch, kind: str, work: Sequence[NewWork] = ()
) -> LostBatch:
    """All of it boiled over, burnt, was thrown away: it ends with no lot.

    What went into it and its hours are an abnormal loss. It is taken back like any
    other deed, and the batch is open again.
    """
    ready_to_end(
        deed, batch, "already: discard that lot, or take its making back first."
    )
    if kind in NORMAL:
        raise Refused(
            f"{kind.capitalize()} takes a part of a batch, never all of it: say "
            "whether it boiled over, burnt, was spilt or thrown away."
        )
    row = written(LostBatch(deed=deed, batch=batch, kind=kind, on=deed.on))
    write_work(deed, batch, work)
    return row
