"""Alkali that finds no fat: written as it happened, with a reason, into quarantine."""

from production.batches.reads.weighed import WeighedIn, holds_excess, weighed_batch
from production.quantities.domain.refusal import Refused
from production.record.models.ink import Deed
from production.stock.models.batches import Batch
from production.stock.models.lots import Status


def excess_kept_back(deed: Deed, batch: Batch) -> str:
    """Quarantine where what went in is an undeclared lye excess, else no status.

    Refused without a reason, naming the figure and what would mend it.
    """
    if not holds_excess(batch):
        return ""
    if not deed.reason.strip() and (found := weighed_batch(batch)):
        raise Refused(asked_about(batch, found))
    return str(Status.Word.QUARANTINE)


def asked_about(batch: Batch, found: WeighedIn) -> str:
    """The sentence that stops a lye excess nobody declared."""
    superfat = found.superfat
    return (
        f"Lye excess in {batch}. {superfat.says} Read the weights and the code on the "
        f"tub again. {superfat.mending} If it happened so, write the reason: the lot "
        "then goes into quarantine under lye excess."
    )
