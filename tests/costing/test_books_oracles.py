"""First in first out and the moving average against others who work them out.

A double-entry library (beancount 3) books the issues of each item first in, first out,
over random workshops; AVERAGE is not supported there. A plain sum in fractions walks
the same past forward in time, by both formulas, without a graph and without rounding.
"""

from collections import defaultdict
from datetime import date, timedelta
from decimal import Decimal as D
from fractions import Fraction

import pytest
from beancount import loader
from beancount.core.data import Transaction
from django.db import transaction
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from costing.domain.rollup import NANO
from costing.reads.redrawn import redrawn_on
from production.models import Movement
from tests.costing.test_redraw import drawn, events_of
from tests.costing.test_rollup_laws import SPLITTING, workshops
from tests.production.random_workshop import RandomWorkshop

# Each draw is rounded to a whole nano; a past has some dozens.
DUST = 200


class Walked:
    """A past walked forward in fractions; ``taken`` is the cost of each flow."""

    def __init__(self, past, pools, formula):
        lots, batches = past
        self.nodes = {node.code: node for node in lots}
        self.flows = {flow.id: flow for node in lots for flow in node.flows}
        self.inside = {one.code: Fraction(sum(one.work.values())) for one in batches}
        self.pools, self.formula = pools, formula
        self.held = defaultdict(list)
        self.sold, self.taken = {}, {}
        for code, flow in events_of(lots):
            if flow is None:
                self.begin(self.nodes[code])
            else:
                self.go(pools[code], self.flows[flow])

    def begin(self, node):
        value = Fraction(sum(node.bought.values()))
        if node.batch is not None:
            value += self.inside[node.batch]
        started, expected = Fraction(node.started), Fraction(node.expected or 0)
        if expected > started:
            value = value * started / expected
        self.come(self.pools[node.code], started, value)

    def come(self, pool, amount, value):
        if self.formula == "average" and self.held[pool]:
            [(whole, cost)] = self.held[pool]
            self.held[pool] = [[whole + amount, cost + value]]
        else:
            self.held[pool].append([amount, value])

    def go(self, pool, flow):
        amount = Fraction(flow.amount)
        if flow.kind == "returned":
            self.bring_back(pool, flow, amount)
            return
        cost, left, parts = Fraction(0), -amount, []
        for layer in self.held[pool]:
            part = min(left, layer[0])
            if not part:
                continue
            value = layer[1] * part / layer[0]
            layer[0], layer[1] = layer[0] - part, layer[1] - value
            parts.append([layer, part, value])
            cost, left = cost + value, left - part
        assert not left
        self.taken[flow.id] = cost
        if flow.kind == "used":
            self.inside[flow.batch] += cost
        elif flow.kind == "sold":
            self.sold[flow.sale] = parts

    def bring_back(self, pool, flow, amount):
        """What left last comes back first, at what it left with."""
        parts, cost = self.sold[flow.sale], Fraction(0)
        while amount:
            layer, part, value = parts.pop()
            some = min(part, amount)
            back = value * some / part
            if some < part:
                parts.append([layer, part - some, value - back])
            if self.formula == "average":
                layer = self.held[pool][0]
            layer[0], layer[1] = layer[0] + some, layer[1] + back
            cost, amount = cost + back, amount - some
        self.taken[flow.id] = -cost


@pytest.mark.parametrize("formula", ["fifo", "average"])
@given(past=workshops(SPLITTING))
def test_a_plain_sum_in_fractions_says_the_same(past, formula):
    found, pools = drawn(past, formula)
    walked = Walked(past, pools, formula)
    ours = defaultdict(int)
    for value in found.valuation.lots.values():
        for here, parts in value.taken.items():
            if here in found.of:
                ours[found.of[here]] += sum(parts.values())
    for flow, cost in walked.taken.items():
        assert abs(ours[flow] - cost) < DUST
    left = sum(value for layers in walked.held.values() for _, value in layers)
    here = sum(sum(one.left.values()) for one in found.valuation.lots.values())
    assert abs(left - here) < DUST * len(pools)


# What the library can book, often enough that an item has several layers.
VERBS = ("buy", "buy", "buy", "open stock", "sell", "sell", "sell", "give", "discard")
VERBS += ("run", "run", "start", "use", "finish")


def plain_steps():
    numbers = st.lists(st.integers(0, 10**6), min_size=4, max_size=6)
    step = st.tuples(st.sampled_from(VERBS), numbers)
    return st.lists(step, min_size=40, max_size=60)


class RolledBack(Exception):
    """Leaves the database as empty as it was."""


PLAIN = {"received", "opening", "made", "used", "sold", "given", "discarded"}


def items_to_book(rows):
    """Items whose every entry is one that the library can book as it stands."""
    kinds, odd = defaultdict(set), set()
    for row in rows:
        kinds[row.lot.item_id].add(row.kind)
        surplus = row.kind == "counted" and row.amount > 0
        if (row.kind not in PLAIN and row.kind != "counted") or surplus:
            odd.add(row.lot.item_id)
        if row.lot.batch_id and row.lot.batch.trial:
            odd.add(row.lot.item_id)
    return set(kinds) - odd


def as_ledger(events):
    """(flow, amount, value) on a day each, in the book's order; the flow of what comes
    is None, and its value in nano."""
    text = [
        '1970-01-01 open Assets:Stock "FIFO"',
        "1970-01-01 open Income:Came",
        "1970-01-01 open Expenses:Went",
    ]
    day = date(1971, 1, 1)
    for flow, amount, value in events:
        day += timedelta(days=1)
        if flow is None:
            text += [
                f'{day} * "came"',
                f"  Assets:Stock  {amount} UNIT {{{{{D(value) / NANO:f} USD}}}}",
                "  Income:Came",
            ]
        else:
            text += [
                f'{day} * "{flow}"',
                f"  Assets:Stock  {amount} UNIT {{}}",
                "  Expenses:Went",
            ]
    return "\n".join(text)


def booked(text):
    """What each entry cost, by its key, as the library has it."""
    entries, errors, _ = loader.load_string(text)
    assert not errors, errors
    return {
        int(entry.narration): sum(
            posting.units.number
            for posting in entry.postings
            if posting.account == "Expenses:Went"
        )
        for entry in entries
        if isinstance(entry, Transaction) and entry.narration != "came"
    }


def same_as_the_library(events, ours):
    """Of the issues of one item; the library knows no cost of nothing or less."""
    if all(value > 0 for flow, _, value in events if flow is None):
        for flow, cost in booked(as_ledger(events)).items():
            assert abs(cost * NANO - ours[flow]) < DUST


@given(past=workshops(SPLITTING))
def test_a_double_entry_library_books_a_past_of_plain_lots_the_same(past):
    found, pools = drawn(past, "fifo")
    values = found.valuation.lots
    ours = defaultdict(int)
    for value in values.values():
        for here, parts in value.taken.items():
            ours[found.of[here]] += sum(parts.values())
    nodes = {node.code: node for node in past[0]}
    flows = {flow.id: flow for node in past[0] for flow in node.flows}
    of_pool = defaultdict(list)
    for code, flow in events_of(past[0]):
        start = (None, nodes[code].started, sum(values[code].start.values()))
        event = start if flow is None else (flow, flows[flow].amount, None)
        of_pool[pools[code]].append(event)
    for events in of_pool.values():
        kinds = {flows[flow].kind for flow, *_ in events if flow is not None}
        if "returned" not in kinds:
            same_as_the_library(events, ours)


def the_library_books_the_same(steps):
    RandomWorkshop().play(steps)
    entries = Movement.objects.standing().exclude(kind="moved")
    rows = list(entries.select_related("lot__item", "lot__batch").in_book_order())
    last = max((row.on for row in rows), default=date(2026, 1, 5))
    found = redrawn_on(last, "fifo")
    ours = {one.movement: sum(one.parts.values()) for one in found.flows()}
    nodes = {node.code: node for node in found.redrawn.lots}
    values = found.redrawn.valuation.lots
    for item in items_to_book(rows):
        events, begun = [], set()
        for row in [row for row in rows if row.lot.item_id == item]:
            code = row.lot.code
            if row.kind not in Movement.STARTS:
                events.append((row.pk, row.amount, None))
            elif code not in begun:
                begun.add(code)
                start = sum(values[code].start.values())
                events.append((None, nodes[code].started, start))
        same_as_the_library(events, ours)


@pytest.mark.django_db
@settings(
    max_examples=6,
    deadline=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(steps=plain_steps())
def test_a_double_entry_library_books_first_in_first_out_the_same(db, steps):
    try:
        with transaction.atomic():
            the_library_books_the_same(steps)
            raise RolledBack
    except RolledBack:
        pass
