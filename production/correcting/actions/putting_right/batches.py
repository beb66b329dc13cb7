"""What a batch, its hours and its losses said wrong."""

from production.batches.actions.balancing import judge_again
from production.batches.actions.steaming import refuse_more_steam_than_water
from production.correcting.actions.putting_right.shape import Change, refuse_closed_days
from production.quantities.domain.refusal import Refused
from production.stock.models.lots import Lot
from production.yields.reads import standing_work


def judge_batch(change: Change) -> None:
    expected, started = change.now("expected"), change.now("started")
    if expected is not None and expected <= 0:
        raise Refused("The expected output is more than nothing, or left open.")
    if started is None:
        raise Refused("Write the day on which it was started.")
    first = change.thing.movements.standing().order_by("on").first()
    if "started" in change and first is not None and first.on < started:
        raise Refused(
            f"{change.thing} has an entry of {first.on}. A batch is started on that "
            "day or before; correct the day of the entry first."
        )


def judge_work(change: Change) -> None:
    if not standing_work().filter(pk=change.thing.pk).exists():
        raise Refused("These hours were taken back: nothing of them is put right.")
    hours, rate = change.now("hours"), change.now("rate")
    if hours is None or hours <= 0 or rate is None or rate < 0:
        raise Refused("Hours are above zero and a rate is not negative.")
    power = change.now("power")
    if power is not None and power <= 0:
        raise Refused("What draws power draws more than nothing: write its kW.")
    refuse_closed_days(change, "on")


def judge_loss(change: Change) -> None:
    if change.now("amount") is None or change.now("amount") <= 0:
        raise Refused("A loss is more than nothing; or take it back as a whole.")
    refuse_closed_days(change, "on")


def carry_loss(change: Change) -> None:
    """The batch still accounts for its grams, and for its water."""
    batch = change.thing.batch
    judge_again(change.deed, batch)
    made = Lot.objects.filter(batch=batch).first()
    if made is not None and {"amount", "kind"} & change.figures.keys():
        refuse_more_steam_than_water(change.deed, batch, made)
