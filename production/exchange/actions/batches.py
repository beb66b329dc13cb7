"""Batches: whole ones of a day, and those that stay open."""

from collections.abc import Iterable
from dataclasses import fields
from typing import Any

from production.batches.actions import batches, losing, trials, working
from production.exchange import domain as history
from production.exchange.actions.naming import (
    Act,
    batch_named,
    dated,
    first_status,
    found,
    item_of,
    lot_named,
    place_named,
    signed,
)
from production.recipes.models.formulas import Version
from production.record.domain.keys import said
from production.release.actions import readings, taking_back
from production.stock.actions.opening_lots import Reading
from production.stock.models.batches import Loss
from production.stock.models.readings import Measurement


def replay_run(event: history.Batch, act: Act) -> None:
    """A whole batch of one day, or the start of one that stays open."""
    head = {
        **dated(event, act),
        "stage": event.stage,
        "code": event.code,
        "version": _version(event.formula) if event.formula else None,
        "expected": event.expected,
        "follows": event.follows,
        "loss": event.loss,
        "trial": event.trial,
    }
    if event.makes is None:
        _start(event, head, act)
        return
    batches.run_batch(
        **head,
        uses=_uses(event.uses),
        output=_output(event.makes, act),
        losses=event.losses,
        work=event.work,
        override=event.override,
        past=act["past"],
    )


def _start(event: history.Batch, head: dict[str, Any], act: Act) -> None:
    """A batch that stays open, with what went in on its first day."""
    if event.losses:
        raise event.fault(
            "a batch that stays open names its losses in events of their own, "
            "batch_loss."
        )
    batch = batches.start_batch(**head)
    facts = {name: head[name] for name in ("by", "on", "reason")}
    if event.uses:
        batches.use_lots(
            **facts,
            key=act["key"] and f"{act['key']}:uses",
            batch=batch,
            uses=_uses(event.uses),
            override=event.override,
            past=act["past"],
        )
    if event.work:
        key = act["key"] and f"{act['key']}:work"
        working.note_work(**facts, key=key, batch=batch, work=event.work)


def _version(part: history.VersionNamed) -> Version:
    version = Version.objects.filter(formula__name=part.name, number=part.version)
    if (found := version.first()) is None:
        raise part.fault(f"there is no version {part.version} of {part.name} yet.")
    return found


def replay_use(event: history.BatchUse, act: Act) -> None:
    facts = found(event) | {"uses": _uses(event.uses)}
    batches.use_lots(**signed(act), **facts, past=act["past"])


def replay_make(event: history.Make, act: Act) -> None:
    facts = found(event)
    output = _output(facts.pop("makes"), act)
    batches.make_lot(**signed(act), **facts, output=output, past=act["past"])


def replay_loss_renamed(event: history.LossRenamed, act: Act) -> None:
    losing.rename_loss(**dated(event, act), loss=_the_loss(event), kind=event.kind)


def _the_loss(event: history.LossRenamed) -> Loss:
    """The loss that an event names by what it says; of two alike either one."""
    batch = batch_named(event, event.batch)
    same = Loss.objects.filter(batch=batch, **said(event.loss))
    if (loss := same.order_by("pk").first()) is None:
        raise event.fault(f"there is no such loss of {event.loss.kind} yet.")
    return loss


def replay_measurement(event: history.Measurement, act: Act) -> None:
    if not event.lot and not event.batch:
        raise event.fault("say which lot or which batch was read.")
    facts = found(event)
    read = {one.name for one in fields(Reading)} & set(facts)
    reading = Reading(**{name: facts.pop(name) for name in read})
    note = readings.record_measurement if act["past"] else readings.note_measurement
    note(**signed(act), **facts, readings=[reading])


def replay_step(event: history.Step, act: Act) -> None:
    facts = found(event) | signed(act)
    if act["past"]:
        readings.record_step(**facts)
    elif event.look:
        trials.note_look(**facts)
    else:
        readings.note_step(**facts)


def replay_check_taken_back(event: history.CheckTakenBack, act: Act) -> None:
    other, past = event.belongs_to, act["past"]
    strike = (
        taking_back.record_check_taken_back if past else taking_back.take_back_check
    )
    strike(
        **dated(event, act),
        measurement=_the_check(event, found(event)),
        belongs_to=lot_named(event, other) if other else None,
    )


def _the_check(event: history.CheckTakenBack, facts: dict[str, Any]) -> Measurement:
    """The check that an event names by what it says, and by its turn."""
    names = ("lot", "batch", "what", "value", "passed")
    same = Measurement.objects.filter(**{name: facts[name] for name in names})
    rows = list(same.filter(on=event.checked).order_by("pk"))
    if not 0 < event.nth <= len(rows) or not (facts["lot"] or facts["batch"]):
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


def _output(part: history.Output, act: Act) -> batches.Output:
    return batches.Output(
        item=item_of(part),
        code=part.lot,
        amount=part.amount,
        net_mass=part.net_mass,
        expires=part.expires,
        place=place_named(part.place),
        labelled=part.labelled,
        **first_status(part, act),
    )
