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
from hypothesis import HealthCheck, given, settings

from costing.domain.rollup import NANO
from costing.reads.redrawn import redrawn_on
from production.models import Lot, Movement
from tests.costing.test_redraw import drawn, events_of
from tests.costing.test_rollup_laws import SPLITTING, workshops
from tests.production.random_workshop import RandomWorkshop, steps

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


def as_ledger(rows, starts):
    """The entries of one item, each on a day of its own, in the book's order."""
    text = [
        '1970-01-01 open Assets:Stock "FIFO"',
        "1970-01-01 open Income:Came",
        "1970-01-01 open Expenses:Went",
    ]
    day, began = date(1971, 1, 1), set()
    for row in rows:
        day += timedelta(days=1)
        if row.kind in Movement.STARTS:
            if row.lot.code in began:
                continue
            began.add(row.lot.code)
            amount, value = starts[row.lot.code]
            cost = D(value) / NANO
            text += [
                f'{day} * "came"',
                f"  Assets:Stock  {amount} UNIT {{{{{cost} USD}}}}",
                f"  Income:Came  {-cost} USD",
            ]
        else:
            text += [
                f'{day} * "{row.pk}"',
                f"  Assets:Stock  {row.amount} UNIT {{}}",
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
        lots = Lot.objects.filter(item=item).values_list("code", flat=True)
        starts = {
            code: (nodes[code].started, sum(values[code].start.values()))
            for code in lots
        }
        if any(value <= 0 for amount, value in starts.values() if amount):
            # The library knows no cost of nothing or less.
            continue
        told = booked(as_ledger([r for r in rows if r.lot.item_id == item], starts))
        for entry, cost in told.items():
            assert abs(cost * NANO - ours[entry]) < DUST


@pytest.mark.django_db
@settings(
    max_examples=6,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(steps=steps())
def test_a_double_entry_library_books_first_in_first_out_the_same(db, steps):
    try:
        with transaction.atomic():
            the_library_books_the_same(steps)
            raise RolledBack
    except RolledBack:
        pass
