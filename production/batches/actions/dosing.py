"""A fragrance above what its supplier allows: refused, or held with its cause."""

from production.fragrance.domain import Dose
from production.fragrance.reads import doses_above
from production.quantities.domain.refusal import Refused
from production.record.actions.deeds import written
from production.record.models.ink import Deed
from production.stock.actions.opening_lots import set_status
from production.stock.models.batches import Batch, Stage
from production.stock.models.holds import Hold
from production.stock.models.lots import Lot, Status

# A set holds what was filled; nothing is poured together.
POURS_NOTHING = {Stage.PACKING}


def hold_if_overdosed(deed: Deed, batch: Batch, lot: Lot) -> None:
    """What was made holds no more of a fragrance than its supplier allows.

    If it happened, the truth may be written with a reason: the lot is then held, with
    one cause for each fragrance.
    """
    if batch.stage in POURS_NOTHING:
        return
    over = doses_above(lot, batch.stage)
    if not over:
        return
    if not deed.reason.strip():
        raise Refused(
            f"{' '.join(map(str, over))} Take less, or make more soap of it. If it "
            "happened so, write the reason: the lot is then held."
        )
    for dose in over:
        _hold(deed, lot, dose)
    set_status(deed, lot, Status.Word.HELD)


def _hold(deed: Deed, lot: Lot, dose: Dose) -> None:
    written(Hold(deed=deed, lot=lot, cause=str(dose), on=deed.on))
