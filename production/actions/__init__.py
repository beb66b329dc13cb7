"""Deeds: one public function = one verb of the workshop = one transaction."""

from production.batches.actions.batches import (
    made_lot,
    make_lot,
    run_batch,
    start_batch,
    use_lots,
)
from production.batches.actions.days import craft_day, craft_scents
from production.batches.actions.losing import lose_batch, name_loss, rename_loss
from production.batches.actions.new_batch import NewBatch, Output, Use
from production.batches.actions.trials import (
    NewAddition,
    bench_trials,
    note_look,
    promote_trial,
)
from production.batches.actions.working import note_work
from production.buying.actions.arrivals import arrive_fine, waiting_lots
from production.buying.actions.buying import (
    NewExtra,
    NewLine,
    add_extra_cost,
    open_stock,
    price_line,
    record_purchase,
)
from production.buying.actions.suppliers import ensure_supplier
from production.closing.actions import close_book
from production.correcting.actions.correcting import correct_movement, reverse_movement
from production.correcting.actions.putting_right.codes import give_proper_code
from production.correcting.actions.putting_right.deed import put_right
from production.correcting.actions.putting_right.expiry import extend_expiry
from production.correcting.actions.undoing import undo_deed
from production.counting.actions import CountsRefused, Found, count_lot, count_place
from production.fragrance.actions import note_document
from production.lots.actions.packs import open_pack
from production.lots.actions.stock import discard, give, move_lot, reweigh_lot
from production.recipes.actions.formulas import NewVersionLine, write_version
from production.recipes.actions.hints import change_hint, write_hint
from production.recipes.domain.limits import NewCheck
from production.release.actions.answering import answer_for
from production.release.actions.noting import (
    earliest_release,
    note_measurement,
    note_step,
)
from production.release.actions.statuses import (
    hold_lot,
    record_status,
    reject_lot,
    release_lot,
)
from production.release.actions.taking_back import take_back_check
from production.release.actions.tested_before import note_tested_before
from production.restoring.actions import Since, note_restored, say_what_happened
from production.selling.actions.customers import ensure_customer
from production.selling.actions.returns import look_at_return
from production.selling.actions.sales import NewSaleLine, sell, take_back
from production.stock.actions.lots import NewLot, Reading
from production.workshop.actions.cards import (
    add_item,
    add_vessel,
    change_item,
    change_vessel,
    ensure_place,
    set_up_workshop,
)
from production.workshop.actions.items import enter_item, restate_item
from production.yields.domain.told import NewLoss, NewWork

__all__ = [
    "CountsRefused",
    "Found",
    "NewAddition",
    "NewBatch",
    "NewCheck",
    "NewExtra",
    "NewLine",
    "NewLoss",
    "NewLot",
    "NewSaleLine",
    "NewVersionLine",
    "NewWork",
    "Output",
    "Reading",
    "Since",
    "Use",
    "add_extra_cost",
    "add_item",
    "add_vessel",
    "answer_for",
    "arrive_fine",
    "bench_trials",
    "change_hint",
    "change_item",
    "change_vessel",
    "close_book",
    "correct_movement",
    "count_lot",
    "count_place",
    "craft_day",
    "craft_scents",
    "discard",
    "earliest_release",
    "ensure_customer",
    "ensure_place",
    "ensure_supplier",
    "enter_item",
    "extend_expiry",
    "give",
    "give_proper_code",
    "hold_lot",
    "look_at_return",
    "lose_batch",
    "made_lot",
    "make_lot",
    "move_lot",
    "name_loss",
    "note_document",
    "note_look",
    "note_measurement",
    "note_restored",
    "note_step",
    "note_tested_before",
    "note_work",
    "open_pack",
    "open_stock",
    "price_line",
    "promote_trial",
    "put_right",
    "record_purchase",
    "record_status",
    "reject_lot",
    "release_lot",
    "rename_loss",
    "restate_item",
    "reverse_movement",
    "reweigh_lot",
    "run_batch",
    "say_what_happened",
    "sell",
    "set_up_workshop",
    "start_batch",
    "take_back",
    "take_back_check",
    "undo_deed",
    "use_lots",
    "waiting_lots",
    "write_hint",
    "write_version",
]
