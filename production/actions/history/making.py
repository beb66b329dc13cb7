"""Batches: whole ones of a day, and those that stay open."""

from typing import Any

from production.actions import (
    balancing,
    batches,
    losing,
    noting,
    statuses,
    taking_back,
    trials,
    working,
)
from production.actions.history.words import (
    batch_named,
    dated,
    first_status,
    item_of,
    lot_named,
    place_named,
)
from production.actions.lots import Reading
from production.domain.history import Event
from production.models import Item, Loss, Measurement, Version


def replay_run(event: Event, act: dict[str, Any]) -> None:
    """A whole batch of one day, or the start of one that stays open."""
    head = {
        **dated(event, act),
        "stage": event.text("stage"),
        "code": event.text("code"),
        "version": _version(event),
        "expected": event.maybe("expected"),
        "follows": event.yes("follows"),
        "trial": event.yes("trial"),
    }
    makes = event.part("makes")
    if makes is None:
        _start(event, head, act)
        return
    batches.run_batch(
        **head,
        uses=_uses(event),
        output=_output(makes, act),
        losses=_losses(event),
        work=_work(event),
        override=event.yes("override"),
        past=act["past"],
    )


def _start(event: Event, head: dict[str, Any], act: dict[str, Any]) -> None:
    """A batch that stays open, with what went in on its first day."""
    batch = batches.start_batch(**head)
    said = {name: head[name] for name in ("by", "on", "reason")}
    if uses := _uses(event):
        batches.use_lots(
            **said,
            key=head["key"] and f"{head['key']}:uses",
            batch=batch,
            uses=uses,
            override=event.yes("override"),
            past=act["past"],
        )
    if work := _work(event):
        key = head["key"] and f"{head['key']}:work"
        working.note_work(**said, key=key, batch=batch, work=work)


def _version(event: Event) -> Version | None:
    part = event.part("formula")
    if part is None:
        return None
    name, number = part.text("name"), part.whole("version")
    part.done()
    version = Version.objects.filter(formula__name=name, number=number).first()
    if version is None:
        raise part.fault(f"there is no version {number} of {name} yet.")
    return version


def replay_use(event: Event, act: dict[str, Any]) -> None:
    batches.use_lots(
        **dated(event, act),
        batch=batch_named(event),
        uses=_uses(event),
        override=event.yes("override"),
        past=act["past"],
    )


def replay_make(event: Event, act: dict[str, Any]) -> None:
    makes = event.part("makes")
    if makes is None:
        raise event.fault("'makes' is missing.")
    batches.make_lot(
        **dated(event, act),
        batch=batch_named(event),
        output=_output(makes, act),
        past=act["past"],
    )


def replay_batch_work(event: Event, act: dict[str, Any]) -> None:
    working.note_work(**dated(event, act), batch=batch_named(event), work=_work(event))


def replay_batch_loss(event: Event, act: dict[str, Any]) -> None:
    losing.name_loss(
        **dated(event, act), batch=batch_named(event), losses=_losses(event)
    )


def replay_loss_renamed(event: Event, act: dict[str, Any]) -> None:
    losing.rename_loss(
        **dated(event, act), loss=_the_loss(event), kind=event.text("kind")
    )


def _the_loss(event: Event) -> Loss:
    """The loss that an event names by what it says; of two alike either one."""
    part = event.part("loss")
    if part is None:
        raise event.fault("'loss' is missing.")
    kind, amount = part.text("kind"), part.number("amount")
    part.done()
    same = Loss.objects.filter(batch=batch_named(event), kind=kind, amount=amount)
    if (loss := same.order_by("pk").first()) is None:
        raise event.fault(f"there is no such loss of {kind} yet.")
    return loss


def replay_batch_lost(event: Event, act: dict[str, Any]) -> None:
    losing.lose_batch(
        **dated(event, act), batch=batch_named(event), kind=event.text("kind")
    )


def replay_step(event: Event, act: dict[str, Any]) -> None:
    about = {**dated(event, act), "batch": batch_named(event)}
    text, look = event.text("text"), event.text("look", "")
    if look and not act["past"]:
        trials.note_look(**about, look=look, text=text)
        return
    note = noting.record_step if act["past"] else noting.note_step
    note(**about, text=text, look=look)


def replay_hold(event: Event, act: dict[str, Any]) -> None:
    statuses.record_hold(**dated(event, act), batch=batch_named(event))


def replay_promotion(event: Event, act: dict[str, Any]) -> None:
    noting.promote_trial(
        **dated(event, act), batch=batch_named(event), past=act["past"]
    )


def replay_measurement(event: Event, act: dict[str, Any]) -> None:
    passed = event.raw("passed", None)
    if passed not in (None, True, False):
        raise event.fault("'passed' is true, false or null.")
    reading = Reading(
        what=event.text("what"),
        basis=event.text("basis", "measured"),
        value=event.maybe("value"),
        passed=passed,
        note=event.text("note", ""),
        method=event.text("method", ""),
        where=event.text("where", ""),
        sampled=event.text("sampled", ""),
    )
    note = noting.record_measurement if act["past"] else noting.note_measurement
    note(
        **dated(event, act),
        lot=lot_named(event) if event.words("lot") else None,
        batch=batch_named(event) if event.words("batch") else None,
        readings=[reading],
    )


def replay_check_taken_back(event: Event, act: dict[str, Any]) -> None:
    past = act["past"]
    strike = (
        taking_back.record_check_taken_back if past else taking_back.take_back_check
    )
    strike(
        **dated(event, act),
        measurement=_the_check(event),
        belongs_to=lot_named(event, "belongs_to")
        if event.words("belongs_to")
        else None,
    )


def _the_check(event: Event) -> Measurement:
    """The check that an event names by what it says, and by its turn."""
    lot = lot_named(event) if event.words("lot") else None
    batch = batch_named(event) if event.words("batch") else None
    on, what, nth = event.day("checked"), event.text("what"), event.whole("nth", 1)
    same = Measurement.objects.filter(lot=lot, batch=batch, what=what, on=on)
    value, passed = event.maybe("value"), event.raw("passed")
    rows = list(same.filter(value=value, passed=passed).order_by("pk"))
    if not 0 < nth <= len(rows) or (lot is None and batch is None):
        raise event.fault(f"there is no such check of {on} yet.")
    return rows[nth - 1]


def _uses(event: Event) -> list[batches.Use]:
    uses = []
    for part in event.parts("uses", []):
        amount, place = part.number("amount"), place_named(part)
        uses.append(batches.Use(lot=lot_named(part), amount=amount, place=place))
        part.done()
    return uses


def _work(event: Event) -> list[working.NewWork]:
    work = []
    for part in event.parts("work", []):
        work.append(
            working.NewWork(
                part.text("kind"), part.number("hours"), part.number("rate")
            )
        )
        part.done()
    return work


def _losses(event: Event) -> list[balancing.NewLoss]:
    losses = []
    for part in event.parts("losses", []):
        losses.append(balancing.NewLoss(part.text("kind"), part.number("amount")))
        part.done()
    return losses


def _output(part: Event, act: dict[str, Any]) -> batches.Output:
    output = batches.Output(
        item=item_of(part, Item.Kind.MADE),
        code=part.text("lot"),
        amount=part.number("amount"),
        net_mass=part.maybe("net_mass"),
        expires=part.maybe_day("expires"),
        status=first_status(part, act),
        place=place_named(part),
        labelled=part.maybe_day("labelled"),
    )
    part.done()
    return output
