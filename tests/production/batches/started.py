"""A batch that was started, and lots taken into it."""

from decimal import Decimal

from production.batches.actions.batches import start_batch, use_lots
from production.batches.actions.new_batch import Use
from tests import make
from tests.make import act


def started(stage="finishing", **facts):
    return start_batch(stage=stage, **{**act(), **facts})


def use(batch, *uses, **facts):
    return use_lots(batch=batch, uses=uses, **{**act(), **facts})


def of(lot, amount="100", **facts):
    return Use(amount=Decimal(amount), lot=lot, **facts)


def tap(price="0.90"):
    cost = None if price is None else Decimal(price)
    return make.item("tap water", category="water", on_tap=True, tap_price=cost)
