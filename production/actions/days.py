"""The fast ways of a craft day: one save for several batches, packs, arrivals."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from decimal import Decimal

from production.actions.batches import post_batch
from production.actions.deeds import deed
from production.actions.doors import may_be_released, may_go
from production.actions.lots import Reading, note_readings, set_status
from production.actions.new_batch import NewBatch, Use
from production.actions.people import reason_asked
from production.actions.statuses import stop
from production.domain.checks import verdict_of
from production.domain.fitness import Purpose
from production.domain.refusal import Refused
from production.models import (
    Deed,
    Lot,
    Measurement,
    Movement,
    OpenPack,
    Purchase,
    Status,
    Version,
)
from production.reads.checks import free_alkali_limit
from production.reads.stock import status_on

WORD = Status.Word
ARRIVED = "arrived fine"


@deed("a craft day")
def craft_day(
    deed: Deed,
    *,
    dilution: NewBatch,
    finishing: NewBatch,
    fillings: Sequence[NewBatch] = (),
) -> None:
    """Dilute, finish and fill on one day: each stage its own batch and lot.

    Soap that goes on the same day is released by the hand that goes on, unless its
    recipe asks for a check that is not passed, or for a rest.
    """
    diluted = _run(deed, dilution, status=_goes_on(dilution))
    on = _goes_on(finishing) if fillings else _kept(finishing)
    finished = _run(deed, finishing, diluted, dilution.output.amount, on)
    for filling in fillings:
        _run(deed, filling, finished, finishing.output.amount)


@deed("several scents")
def craft_scents(deed: Deed, *, scents: Sequence[NewBatch]) -> None:
    """Several finishings of one diluted soap, each its own batch and lot."""
    if not scents:
        raise Refused("Write at least one scent: how much soap, and what goes into it.")
    for scent in scents:
        post_batch(deed, scent)


def _run(
    deed: Deed,
    new: NewBatch,
    before: Lot | None = None,
    all_of_it: Decimal = Decimal(0),
    status: str = "",
) -> Lot:
    """One stage of the day, out of what the stage before it made."""
    if before is not None:
        soap = Use(lot=before, amount=new.taken or all_of_it)
        new = replace(new, uses=[soap, *new.uses])
    if status:
        new = replace(new, output=replace(new.output, status=status))
    lot = post_batch(deed, new)
    if status == WORD.RELEASED and status_on(lot, deed.on) == WORD.QUARANTINE:
        # It waited for the check that stands beside it on the same page.
        may_be_released(deed, lot)
        set_status(deed, lot, WORD.RELEASED)
    return lot


def _passed(new: NewBatch) -> bool | None:
    """What its check says; None where none was made, False where one failed."""
    limit = free_alkali_limit(new.version)
    verdicts = [verdict_of(row, limit) for row in new.readings]
    said = [verdict for verdict in verdicts if verdict is not None]
    return all(said) if said else None


def _goes_on(new: NewBatch) -> str:
    """The status of soap that is taken further on the same day."""
    what = "The diluted soap" if new.stage == "dilution" else "The finished soap"
    version, passed = new.version, _passed(new)
    if passed is False:
        raise Refused(
            f"{what} did not pass its check, so nothing is filled from it: leave the "
            "bottles out, and test again; free alkali burns skin and eyes."
        )
    if version is not None and version.rest_days:
        raise Refused(
            f"{what} rests {version.rest_days} days by {version}: leave the bottles "
            "out, and write each batch on its own day."
        )
    asks = version is not None and version.release == Version.Release.CHECK
    if asks and passed is None:
        raise Refused(
            f"{version} asks for a passed neutrality check before the soap goes on: "
            "note it, or write each batch by itself."
        )
    return str(WORD.RELEASED)


def _kept(new: NewBatch) -> str:
    """Soap that stays in its pot: released by a passed check where the recipe asks."""
    version = new.version
    if _passed(new) is False:
        return str(WORD.QUARANTINE)
    if version is None or version.release != Version.Release.CHECK:
        return ""
    return str(WORD.RELEASED) if _passed(new) and not version.rest_days else ""


@deed("open a pack", moves_nothing=True, gives=OpenPack)
def open_pack(deed: Deed, *, lot: Lot) -> OpenPack:
    """Say that this pack stands at the bench: forms take from it without asking.

    Never an alkali: its code is read off the tub each time.
    """
    Lot.objects.locked([lot.pk])
    if lot.item.is_alkali:
        raise Refused(
            f"{lot} is {lot.item}. An alkali never stands open: its code is read off "
            "the tub each time, and its name looked at twice."
        )
    may_go(deed, [lot], Purpose.USE)
    if Lot.objects.with_on_hand().get(pk=lot.pk).on_hand <= 0:
        raise Refused(f"Nothing is left of {lot}. Open another pack.")
    return OpenPack.objects.create(deed=deed, lot=lot)


@deed("record an open pack", moves_nothing=True, gives=OpenPack)
def record_open_pack(deed: Deed, *, lot: Lot) -> OpenPack:
    """Take over which pack an earlier book had open."""
    return OpenPack.objects.create(deed=deed, lot=lot)


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
    for lot in Lot.objects.locked(lot.pk for lot in waiting):
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
