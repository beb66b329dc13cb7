"""Deeds: one public function = one verb of the workshop = one transaction."""

from production.actions.batches import (
    NewLoss,
    NewWork,
    Output,
    Use,
    made_lot,
    make_lot,
    name_loss,
    note_work,
    run_batch,
    start_batch,
    use_lots,
)
from production.actions.buying import (
    NewExtra,
    NewLine,
    add_extra_cost,
    open_stock,
    price_line,
    record_purchase,
)
from production.actions.correcting import (
    correct_movement,
    reverse_movement,
    undo_deed,
)
from production.actions.formulas import NewVersionLine, write_version
from production.actions.lots import NewLot, Reading
from production.actions.noting import (
    earliest_release,
    note_measurement,
    note_step,
    promote_trial,
)
from production.actions.sales import NewSaleLine, sell, take_back
from production.actions.statuses import (
    hold_lot,
    record_status,
    reject_lot,
    release_lot,
)
from production.actions.stock import (
    close_book,
    count_lot,
    discard,
    give,
    move_lot,
    reweigh_lot,
)
from production.actions.workshop import (
    add_item,
    change_item,
    ensure_customer,
    ensure_item,
    ensure_place,
    ensure_supplier,
    set_up_workshop,
)

__all__ = [
    "NewExtra",
    "NewLine",
    "NewLoss",
    "NewLot",
    "NewSaleLine",
    "NewVersionLine",
    "NewWork",
    "Output",
    "Reading",
    "Use",
    "add_extra_cost",
    "add_item",
    "change_item",
    "close_book",
    "correct_movement",
    "count_lot",
    "discard",
    "earliest_release",
    "ensure_customer",
    "ensure_item",
    "ensure_place",
    "ensure_supplier",
    "give",
    "hold_lot",
    "made_lot",
    "make_lot",
    "move_lot",
    "name_loss",
    "note_measurement",
    "note_step",
    "note_work",
    "open_stock",
    "price_line",
    "promote_trial",
    "record_purchase",
    "record_status",
    "reject_lot",
    "release_lot",
    "reverse_movement",
    "reweigh_lot",
    "run_batch",
    "sell",
    "set_up_workshop",
    "start_batch",
    "take_back",
    "undo_deed",
    "use_lots",
    "write_version",
]
