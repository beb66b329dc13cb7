"""Moving in: a history file is replayed through the same deeds as the pages."""

import hashlib
from collections.abc import Callable
from typing import Any

from django.db import transaction

from production.batches.actions import losing, overhead, trials, working
from production.buying.actions import sending_back
from production.closing import actions as closing
from production.counting import actions as counting
from production.exchange import domain as history
from production.exchange.actions import (
    batches,
    cards,
    openings,
    recipes,
    restoring,
    trade,
)
from production.exchange.actions.naming import Act, by
from production.fragrance import actions as fragrance
from production.lots.actions import lot_deeds, packs
from production.quantities.domain.refusal import Refused
from production.record.actions.again import written_again
from production.record.actions.deeds import lock_book
from production.record.actions.people import signs_only
from production.record.domain.keys import EVENTS, Event, read_part
from production.record.domain.text import Group
from production.record.models.ink import Deed
from production.record.models.workshop import Workshop
from production.release.actions import statuses
from production.workshop.actions import rates
from production.workshop.actions.cards import set_up_workshop

CLERK = "history"

# What each kind of event does.
REPLAYED: dict[type[Event], Callable[[Any, Act], None]] = {
    history.Workshop: cards.replay_workshop,
    history.Party: cards.replay_party,
    history.Item: cards.replay_item,
    history.Vessel: cards.replay_vessel,
    history.Equipment: cards.replay_equipment,
    history.HourRate: by(rates.say_hour_rate),
    history.Tariff: by(rates.say_tariff),
    history.Overhead: by(rates.budget_overhead),
    history.OverheadPaid: by(overhead.state_overhead, knows_a_past=True),
    history.RuleOfThumb: cards.replay_rule_of_thumb,
    history.Formula: recipes.replay_formula,
    history.Opening: openings.replay_opening,
    history.Purchase: trade.replay_purchase,
    history.LatePrice: trade.replay_price,
    history.ExtraCost: trade.replay_extra_cost,
    history.BillPaid: trade.replay_bill_paid,
    history.SentBack: by(sending_back.send_back),
    history.Credit: trade.replay_credit,
    history.Tap: openings.replay_tap,
    history.Batch: batches.replay_run,
    history.BatchUse: batches.replay_use,
    history.BatchWork: by(working.note_work),
    history.BatchLoss: by(losing.name_loss),
    history.LossRenamed: batches.replay_loss_renamed,
    history.BatchLost: by(losing.lose_batch),
    history.Step: batches.replay_step,
    history.Make: batches.replay_make,
    history.Hold: by(statuses.record_hold),
    history.Promotion: by(trials.promote_trial, knows_a_past=True),
    history.Measurement: batches.replay_measurement,
    history.CheckTakenBack: batches.replay_check_taken_back,
    history.FragranceDocument: by(fragrance.note_document),
    history.Status: openings.replay_status,
    history.OpenPack: by(packs.record_open_pack, packs.open_pack),
    history.Count: by(counting.count_lot, knows_a_past=True),
    history.Reweigh: by(lot_deeds.reweigh_lot, knows_a_past=True),
    history.Given: by(lot_deeds.give, knows_a_past=True),
    history.Move: by(lot_deeds.move_lot, knows_a_past=True),
    history.Loss: by(lot_deeds.discard),
    history.Sale: trade.replay_sale,
    history.SalePaid: trade.replay_sale_paid,
    history.Return: trade.replay_return,
    history.EmptyBack: trade.replay_empties,
    history.Look: trade.replay_look,
    history.Closing: by(closing.close_book, knows_a_past=True),
    history.Restored: restoring.replay_restored,
}


def clerk() -> Any:
    """The inactive user who signs for an imported past; made on first use."""
    return signs_only(CLERK)


@transaction.atomic
def import_history(*, text: str, by: Any = None) -> int:
    """Replay a whole file or nothing, and say how many events; twice is noticed."""
    currency, groups = history.read(text)
    mark = hashlib.sha256(text.encode()).hexdigest()[:16]
    lock_book()
    if Deed.objects.filter(key__startswith=f"{history.PAST}{mark}:").exists():
        raise Refused("This very file was imported before. Nothing was added.")
    _agree_on_currency(currency)
    by = by or clerk()
    # Its codes were given out by its own hand.
    with written_again():
        for number, group in enumerate(groups, start=1):
            carry_out(group, by=by, key=f"{history.PAST}{mark}:{number}", past=True)
    return len(groups)


def carry_out(group: Group, *, by: Any, key: str = "", past: bool = False) -> None:
    """Write what an event tells, by the deed of its kind; its line is in the refusal.

    ``past`` is taken over from an earlier book, whose own hand judged it. Else all
    that a page would ask is asked of it.
    """
    if group.where not in EVENTS:
        raise group.fault("this type of event is not known.")
    try:
        event = read_part(EVENTS[group.where], group, "type")
        REPLAYED[type(event)](event, {"by": by, "key": key, "past": past})
    except Refused as fault:
        if str(fault).startswith(f"Line {group.line}"):
            raise
        raise group.fault(str(fault)) from fault


def _agree_on_currency(currency: str) -> None:
    workshop = Workshop.objects.first()
    if workshop is None:
        set_up_workshop(name="Workshop", currency=currency)
    elif workshop.currency != currency and Deed.objects.exists():
        raise Refused(
            f"The file is in {currency}, the workshop in {workshop.currency}. "
            "One workshop keeps one currency."
        )
    else:
        set_up_workshop(currency=currency)
