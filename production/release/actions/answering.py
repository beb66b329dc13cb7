"""An owner answers for goods that left before it was known what was wrong."""

from production.fitness.reads.what_left import asks_for_answer
from production.quantities.domain.refusal import Refused
from production.record.actions.deeds import deed, written
from production.record.actions.people import owner_only, reason_asked
from production.record.models.ink import Deed
from production.stock.models.holds import Answered
from production.stock.models.lots import Movement


@deed(
    "answer for what left",
    moves_nothing=True,
    gives=Answered,
    stays="An answer stays in the book.",
)
def answer_for(deed: Deed, *, movement: Movement) -> Answered:
    """Say what was done: who was told, what came back, why nothing is to be done."""
    owner_only(deed.by, deed.verb)
    reason_asked(deed, f"leaving {movement.lot} as it went")
    if Answered.objects.filter(movement=movement).exists():
        raise Refused(f"This entry of {movement.lot} is answered already.")
    if not any(row.movement == movement for row in asks_for_answer(movement.lot_id)):
        raise Refused(
            f"Nothing is to be answered for this entry of {movement.lot}: it did not "
            "leave, or what left is as fit as it was."
        )
    return written(Answered(deed=deed, movement=movement))
