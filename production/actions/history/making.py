"""Batches: whole ones of a day, and those that stay open."""

from collections.abc import Iterable
from typing import Any

from production.actions import batches, losing, noting, statuses, taking_back, working
from production.actions.history.words import (
    Act,
    batch_named,
    dated,
    item_of,
    lot_named,
    of_batch,
    place_named,
    replay,
)
from production.actions.lots import Reading
from production.domain import history
from production.domain.history import said
from production.models import Loss, Measurement, Version


@replay.register
def replay_run(event: history.Batch, act: Act) -> None:
    """A whole batch of one day, or the start of one that stays open."""
    head = {
        **dated(event, act),
        "stage": event.stage,
        "code": event.code,
        "version": _version(event.formula) if event.formula else None,
        "expected": event.expected,
        "follows": event.follows,
        "trial": event.trial,
    }
    if event.makes is None:
        _start(event, head)
        return
    batches.run_batch(
        **head,
        uses=_uses(event.uses),
        output=_output(event.makes),
        losses=event.losses,
        work=event.work,
        override=event.override,
        past=True,
    )


def _start(event: history.Batch, head: dict[str, Any]) -> None:
    """A batch that stays open, with what went in on its first day."""
    batch = batches.start_batch(**head)
    act = {name: head[name] for name in ("by", "on", "reason")}
    if event.uses:
        batches.use_lots(
            **act,
            key=f"{head['key']}:uses",
            batch=batch,
            uses=_uses(event.uses),
            override=event.override,
            past=True,
        )
    if event.work:
        key = f"{head['key']}:work"
        working.note_work(**act, key=key, batch=batch, work=event.work)


def _version(part: history.VersionNamed) -> Version:
    version = Version.objects.filter(formula__name=part.name, number=part.version)
    if (found := version.first()) is None:
        raise part.fault(f"there is no version {part.version} of {part.name} yet.")
    return found


@replay.register
def replay_use(event: history.BatchUse, act: Act) -> None:
    batches.use_lots(
        **of_batch(event, act),
        uses=_uses(event.uses),
        override=event.override,
        past=True,
    )


@replay.register
def replay_make(event: history.Make, act: Act) -> None:
    batches.make_lot(**of_batch(event, act), output=_output(event.makes), past=True)


@replay.register
def replay_batch_work(event: history.BatchWork, act: Act) -> None:
    working.note_work(**of_batch(event, act), work=event.work)


@replay.register
def replay_batch_loss(event: history.BatchLoss, act: Act) -> None:
    losing.name_loss(**of_batch(event, act), losses=event.losses)


@replay.register
def replay_loss_renamed(event: history.LossRenamed, act: Act) -> None:
    losing.rename_loss(**dated(event, act), loss=_the_loss(event), kind=event.kind)


def _the_loss(event: history.LossRenamed) -> Loss:
    """The loss that an event names by what it says; of two alike either one."""
    batch = batch_named(event, event.batch)
    same = Loss.objects.filter(batch=batch, **said(event.loss))
    if (loss := same.order_by("pk").first()) is None:
        raise event.fault(f"there is no such loss of {event.loss.kind} yet.")
    return loss


@replay.register
def replay_batch_lost(event: history.BatchLost, act: Act) -> None:
    losing.lose_batch(**of_batch(event, act), kind=event.kind)


@replay.register
def replay_step(event: history.Step, act: Act) -> None:
    noting.record_step(**of_batch(event, act), text=event.text, look=event.look)


@replay.register
def replay_hold(event: history.Hold, act: Act) -> None:
    statuses.record_hold(**of_batch(event, act))


@replay.register
def replay_promotion(event: history.Promotion, act: Act) -> None:
    noting.promote_trial(**of_batch(event, act), past=True)


@replay.register
def replay_measurement(event: history.Measurement, act: Act) -> None:
    reading = Reading(
        what=event.what,
        basis=event.basis,
        value=event.value,
        passed=event.passed,
        note=event.note,
        method=event.method,
        where=event.where,
        sampled=event.sampled,
    )
    noting.record_measurement(**dated(event, act), **_of(event), readings=[reading])


def _of(event: history.Measurement | history.CheckTakenBack) -> dict[str, Any]:
    """The lot or the batch that was measured."""
    lot, batch = event.of.lot, event.of.batch
    return {
        "lot": lot_named(event, lot) if lot else None,
        "batch": batch_named(event, batch) if batch else None,
    }


@replay.register
def replay_check_taken_back(event: history.CheckTakenBack, act: Act) -> None:
    other = event.belongs_to
    taking_back.record_check_taken_back(
        **dated(event, act),
        measurement=_the_check(event),
        belongs_to=lot_named(event, other) if other else None,
    )


def _the_check(event: history.CheckTakenBack) -> Measurement:
    """The check that an event names by what it says, and by its turn."""
    of = _of(event)
    same = Measurement.objects.filter(what=event.what, on=event.checked, **of)
    same = same.filter(value=event.value, passed=event.passed)
    rows = list(same.order_by("pk"))
    if not 0 < event.nth <= len(rows) or not any(of.values()):
        raise event.fault(f"there is no such check of {event.checked} yet.")
    return rows[event.nth - 1]


def _uses(parts: Iterable[history.Use]) -> list[batches.Use]:
    return [
        batches.Use(
            lot=lot_named(part, part.lot),
            amount=part.amount,
            place=place_named(part.place),
        )
        for part in parts
    ]


def _output(part: history.Output) -> batches.Output:
    return batches.Output(
        item=item_of(part),
        code=part.lot,
        amount=part.amount,
        net_mass=part.net_mass,
        expires=part.expires,
        status=part.status,
        place=place_named(part.place),
        labelled=part.labelled,
    )
