"""A reading that was misread or dated wrong; what was judged is not put right so."""

from production.contents.reads.reweighing import REWEIGHING
from production.correcting.actions.putting_right.shape import Change
from production.quantities.domain.refusal import Refused
from production.release.reads.checks import subject_of
from production.stock.actions.opening_lots import Reading, check_share, doubt_readings
from production.stock.domain.checks import OF_ALKALI, judged
from production.stock.models.readings import CheckTakenBack, Measurement


def judge_reading(change: Change) -> None:
    row = change.thing
    if row.what in OF_ALKALI and row.passed is not None:
        raise Refused(
            f"{row} is a check of alkali. It is taken back on its own page, and tested "
            "again."
        )
    if row.passed is not None:
        raise Refused(
            f"{row} was judged when it was noted. Note the right reading beside it: "
            "the latest one counts."
        )
    if CheckTakenBack.objects.filter(measurement=row).exists():
        raise Refused(f"{row} was taken back: nothing of it is put right.")
    if row.deed.verb == REWEIGHING:
        raise Refused(
            f"{row} follows from a weighing. Take that weighing back, and weigh again."
        )
    if change.now("on") is None:
        raise Refused("Write the day of the reading.")
    if "value" in change:
        _judge_value(change, row)


def _judge_value(change: Change, row: Measurement) -> None:
    value = change.now("value")
    if value is None:
        raise Refused("Write what was really read.")
    if value < 0 and row.what != Measurement.What.TEMPERATURE:
        raise Refused(f"A {row.what} of {value} is below nothing.")
    read = Reading(
        what=row.what, value=value, basis=row.basis, confirmed=change.confirmed
    )
    check_share(read)
    if row.what in OF_ALKALI:
        _says_nothing_of_alkali(read, row)
    if row.lot is not None:
        doubt_readings(row.lot.item, [read])


def _says_nothing_of_alkali(read: Reading, row: Measurement) -> None:
    """A pH that judged nothing is a reading like any other, while it judges nothing."""
    if judged(read, subject_of(row.lot, row.batch, [read])).passed is not None:
        raise Refused(
            f"A {read.what} of {read.value:f} says whether alkali is left. Note it as "
            "a reading of its own: it counts from then on."
        )
