"""A longer life is a decision that rests on a test; it is no correction."""

from datetime import date

from production.quantities.domain.refusal import Refused
from production.record.actions.deeds import deed
from production.record.actions.people import owner_only, reason_asked
from production.record.actions.restating import follow, restate
from production.record.models.ink import Deed
from production.record.reads.restated import OF, as_now, in_text
from production.stock.models.lots import Lot
from production.stock.models.readings import CheckTakenBack, Measurement


@deed("extend the expiry", gives=None)
def extend_expiry(
    deed: Deed,
    *,
    lot: Lot,
    expires: date,
    reading: Measurement | None = None,
    paper: str = "",
) -> None:
    """Let a lot live longer: an owner names the test it rests on, and says why.

    ``reading`` is of this lot, taken when it was tested again; ``paper`` names a
    laboratory's or a supplier's paper instead.
    """
    owner_only(deed.by, "extend an expiry")
    reason_asked(deed, "extending an expiry")
    lot = Lot.objects.get(pk=lot.pk)
    if lot.expires is None:
        raise Refused(f"{lot} has no expiry yet: put it right on its page.")
    if expires <= lot.expires:
        raise Refused(
            f"{lot} keeps until {lot.expires}. An extension ends later; an earlier day "
            "is put right on its page."
        )
    if expires <= deed.on:
        raise Refused(f"{expires} has passed: choose a day that is still to come.")
    changed = {"expires": (in_text(lot.expires), in_text(expires))}
    tested = _tested(deed, lot, reading, paper)
    restate(deed, OF.LOT, lot.pk, {**changed, "retest": ("", tested)})
    follow(OF.LOT, lot.pk)


def _tested(deed: Deed, lot: Lot, reading: Measurement | None, paper: str) -> str:
    """The test in words: it is of this lot, and was not typed with its arrival."""
    if reading is None:
        if not paper.strip():
            raise Refused(
                "Name the test that it rests on: a reading of this lot, or the paper "
                "of a laboratory or the supplier."
            )
        return paper.strip()
    [row] = as_now(Measurement.objects.filter(pk=reading.pk))
    of_it = row.lot_id == lot.pk or (row.batch_id and row.batch_id == lot.batch_id)
    if not of_it:
        raise Refused(f"{row} is of another lot. Choose a reading of {lot}.")
    if CheckTakenBack.objects.filter(measurement=row).exists():
        raise Refused(f"{row} was taken back: nothing rests on it.")
    if row.passed is False:
        raise Refused(f"{row} was not passed: no longer life rests on it.")
    if row.basis != Measurement.Basis.MEASURED or row.deed_id == lot.deed_id:
        raise Refused(f"{row} came with the lot. Test it again, and note the result.")
    if row.on > deed.on:
        raise Refused(f"{row} is of {row.on}: decide on that day or later.")
    return f"{row.what} of {row.on}"
