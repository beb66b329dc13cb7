"""Nodes and flows of the roll-up, each written in a word."""

from decimal import Decimal as D

from costing.domain.rollup import NANO, BatchNode, Flow, LotNode


def nano(money):
    return int(D(money) * NANO)


def flow(number, kind, amount, batch=None, sale=None):
    return Flow(number, kind, D(amount), batch, sale)


def bought(code, amount, price, *flows, part="oil", known=True, opening=False):
    parts = {part: nano(price)}
    return LotNode(code, D(amount), parts, known, None, None, flows, opening)


def made(code, amount, batch, *flows, expected=None):
    wanted = None if expected is None else D(expected)
    return LotNode(code, D(amount), {}, True, batch, wanted, flows)


def batch(code, lot, **work):
    return BatchNode(code, {kind: nano(cost) for kind, cost in work.items()}, lot)


def shown(parts):
    return round(D(sum(parts.values())) / NANO, 6)
