"""The look on arrival."""

from collections.abc import Iterable

from production.buying.models import Purchase
from production.quantities.domain.refusal import Refused
from production.record.actions.deeds import deed
from production.record.actions.people import reason_asked
from production.record.models.ink import Deed
from production.release.actions.statuses import stop
from production.stock.actions.opening_lots import Reading, note_readings, set_status
from production.stock.models.lots import Lot, Movement, Status
from production.stock.models.readings import Measurement
from production.stock.reads.stock import status_on

WORD = Status.Word
ARRIVED = "arrived fine"


def waiting_lots(purchase: Purchase) -> list[Lot]:
    """The lots of a purchase that still wait for the look on arrival."""
    came = Movement.objects.standing().filter(kind=Movement.Kind.RECEIVED)
    lots = Lot.objects.filter(
        line__purchase=purchase, pk__in=came.values("lot")
    ).with_status()
    return list(
        lots.filter(status=WORD.QUARANTINE).select_related("item").order_by("pk")
    )


@deed("check an arrival", moves_nothing=True)
def arrive_fine(deed: Deed, *, purchase: Purchase, failed: Iterable[Lot] = ()) -> None:
    """The look on arrival: what waited is released, what is not fine is held.

    This is the check that an item may ask for. A lot with a failed check on file is
    held as well, whatever the rest looks like.
    """
    waiting = [
        lot
        for lot in waiting_lots(purchase)
        if status_on(lot, deed.on) == WORD.QUARANTINE
    ]
    if not waiting:
        raise Refused(f"No lot of {purchase} waits for its check on {deed.on}.")
    bad = {lot.pk for lot in failed}
    if bad:
        reason_asked(deed, "holding what did not arrive fine")
    for lot in waiting:
        if lot.pk in bad:
            note_readings(deed, (_arrival(False, deed.reason),), lot=lot)
        elif _failed_before(lot):
            bad.add(lot.pk)
        else:
            note_readings(deed, (_arrival(True, ARRIVED),), lot=lot)
        if lot.pk in bad:
            stop(deed, lot, deed.reason or "a check of it failed before")
        else:
            set_status(deed, lot, WORD.RELEASED)


def _arrival(passed: bool, note: str) -> Reading:
    longest = Measurement._meta.get_field("note").max_length or 0
    return Reading(what=Measurement.What.OTHER, passed=passed, note=note[:longest])


def _failed_before(lot: Lot) -> bool:
    checks = lot.measurements.filter(passed__isnull=False, taken_back__isnull=True)
    latest = checks.order_by("-on", "-id").values_list("passed", flat=True).first()
    return latest is False
