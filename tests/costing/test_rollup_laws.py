"""The laws of the roll-up, over random workshops."""

from dataclasses import replace
from decimal import Decimal as D
from fractions import Fraction
from random import Random

import networkx as nx
from hypothesis import given
from hypothesis import strategies as st

from costing.domain.rollup import (
    NANO,
    BatchNode,
    Flow,
    LotNode,
    difference,
    roll_up,
    sources,
)

PART_NAMES = ("oil", "alkali", "packaging")
PASSED_ON = ("used", "sold", "returned", "sent back")
GOES = ("sold", "given", "discarded", "counted", "sent back")
milli = st.integers(1, 10**6)


class Workshop:
    """A random past: amounts in thousandths, no lot ever below zero."""

    def __init__(self, draw):
        self.draw = draw
        self.amounts = {}
        self.flows = {}
        self.births = {}
        self.batches = []
        self.sold = {}
        self.count = 0

    def post(self, code, kind, change, **links):
        self.count += 1
        amount = D(change) / 1000
        self.flows[code].append(Flow(self.count, kind, amount, **links))
        self.amounts[code] += change
        return self.count

    def open_lot(self, amount, parts, batch_code=None, expected=None, **more):
        code = f"L{len(self.births)}"
        self.births[code] = (amount, parts, batch_code, expected, more)
        self.amounts[code], self.flows[code] = amount, []
        return code

    def buy(self):
        values = st.integers(-(10**9), 10**12)
        parts = self.draw(st.dictionaries(st.sampled_from(PART_NAMES), values))
        more = {"known": self.draw(st.booleans()), "opening": self.draw(st.booleans())}
        self.open_lot(self.draw(milli), parts, **more)

    def some_of(self, code):
        return self.draw(st.integers(1, self.amounts[code]))

    def full(self):
        return [code for code, amount in self.amounts.items() if amount]

    def make(self):
        code = f"B{len(self.batches)}"
        chosen = self.draw(st.lists(st.sampled_from(self.full()), max_size=3))
        for lot in chosen:
            if self.amounts[lot]:
                self.post(lot, "used", -self.some_of(lot), batch=code)
        work = {"labour": self.draw(st.integers(0, 10**11))}
        lot = None
        if self.draw(st.integers(0, 4)):
            expected = self.draw(st.none() | milli)
            lot = self.open_lot(self.draw(milli), {}, code, expected)
        trial = self.draw(st.booleans())
        lost = lot is None and self.draw(st.booleans())
        self.batches.append(BatchNode(code, work, lot, trial, lost))

    def part_with(self):
        code = self.draw(st.sampled_from(self.full()))
        kind = self.draw(st.sampled_from(GOES))
        out = self.some_of(code)
        sale = self.count if kind == "sold" else None
        self.post(code, kind, -out, sale=sale)
        if kind == "sold" and self.draw(st.booleans()):
            back = self.draw(st.integers(1, out))
            self.post(code, "returned", back, sale=sale)

    def find(self):
        self.post(self.draw(st.sampled_from(self.full())), "counted", self.draw(milli))

    def reweigh(self):
        code = self.draw(st.sampled_from(self.full()))
        change = self.draw(st.integers(1 - self.amounts[code], 10**6))
        self.post(code, "reweighed", change)

    def nodes(self):
        lots = []
        for code, (amount, parts, batch_code, expected, more) in self.births.items():
            lots.append(
                LotNode(
                    code,
                    D(amount) / 1000,
                    parts,
                    more.get("known", True),
                    batch_code,
                    None if expected is None else D(expected) / 1000,
                    tuple(self.flows[code]),
                    more.get("opening", False),
                )
            )
        return lots, self.batches


# Deeds that only split value: a rounding is passed on and never grows. (A surplus may
# be many times what was left, and so multiplies the rounding of its rate.)
SPLITTING = ("buy", "make", "make", "part_with")


@st.composite
def workshops(draw, deeds=(*SPLITTING, "reweigh", "find")):
    workshop = Workshop(draw)
    workshop.buy()
    for deed in draw(st.lists(st.sampled_from(deeds), max_size=25)):
        getattr(workshop, deed if workshop.full() else "buy")()
    return workshop.nodes()


@given(workshops())
def test_value_is_neither_made_nor_lost(past):
    assert difference(roll_up(*past).totals) == 0


@given(workshops())
def test_a_lost_batch_is_an_expense_and_no_work_under_way(past):
    lots, batches = past
    found = roll_up(lots, batches)
    lost = {entry.code for entry in batches if entry.lost}
    assert lost == set(found.lost)
    assert not lost & set(found.in_progress)
    nano = sum(
        sum(found.lost[entry.code].inside.values())
        for entry in batches
        if entry.lost and not entry.trial
    )
    still = [replace(entry, lost=False) for entry in batches]
    before = roll_up(lots, still).totals
    assert found.totals.abnormal - before.abnormal == nano
    assert before.work_in_progress - found.totals.work_in_progress == nano


@given(workshops())
def test_development_is_what_trials_took_and_did_not_pass_on(past):
    """By the way of the batches; the roll-up adds up what is left and lost."""
    lots, batches = past
    trials = {entry.code for entry in batches if entry.trial}
    values = roll_up(lots, batches).lots
    took = sum(sum(entry.work.values()) for entry in batches if entry.trial)
    for lot in lots:
        for entry in lot.flows:
            nano = sum(values[lot.code].taken.get(entry.id, {}).values())
            if entry.batch in trials:
                took += nano
            if lot.batch in trials and entry.kind in PASSED_ON:
                took -= nano
    assert roll_up(lots, batches).totals.development == took


@given(workshops(), st.data())
def test_a_promotion_moves_value_between_stock_and_development_alone(past, data):
    """Whichever trials are promoted, no lot's own cost changes, nor what was sold."""
    lots, batches = past
    promoted = [
        replace(entry, trial=entry.trial and data.draw(st.booleans()))
        for entry in batches
    ]
    before, after = roll_up(lots, batches), roll_up(lots, promoted)
    assert difference(after.totals) == 0
    for code, value in before.lots.items():
        assert after.lots[code].left == value.left
        assert after.lots[code].unit_cost == value.unit_cost
    one, other = before.totals, after.totals
    assert one.cost_of_goods_sold == other.cost_of_goods_sold
    assert one.stock + one.work_in_progress + one.losses == (
        other.stock + other.work_in_progress + other.losses
    )


@given(workshops())
def test_every_lot_keeps_its_own_books(past):
    lots, batches = past
    for value in roll_up(lots, batches).lots.values():
        gone = sum(sum(parts.values()) for parts in value.taken.values())
        assert sum(value.start.values()) == gone + sum(value.left.values())
        assert value.amount_left or not value.left


@given(workshops(), st.randoms(use_true_random=False))
def test_the_order_in_which_lots_are_listed_changes_nothing(past, chance: Random):
    lots, batches = past
    before = roll_up(lots, batches)
    shuffled = chance.sample(lots, len(lots)), chance.sample(batches, len(batches))
    after = roll_up(*shuffled)
    assert after.lots == before.lots
    assert after.totals == before.totals


@given(workshops(deeds=SPLITTING), st.randoms(use_true_random=False))
def test_the_order_of_independent_events_changes_a_few_nano_at_most(past, chance):
    lots, batches = past
    mixed = [
        replace(lot, flows=tuple(chance.sample(lot.flows, len(lot.flows))))
        if all(entry.kind != "returned" for entry in lot.flows)
        else lot
        for lot in lots
    ]
    before, after = roll_up(lots, batches).lots, roll_up(mixed, batches).lots
    for code, value in before.items():
        for name in {*value.start, *after[code].start}:
            moved = value.start.get(name, 0) - after[code].start.get(name, 0)
            assert abs(moved) <= 2 * roundings(lots)


@given(workshops(deeds=(*SPLITTING, "reweigh")))
def test_the_roll_up_follows_the_exact_fractions(past):
    """Another way to the same figures: real numbers, no rounding at any step."""
    lots, batches = past
    exact = exact_starts(lots, batches)
    for code, value in roll_up(lots, batches).lots.items():
        off = sum(value.start.values()) - exact[code]
        assert abs(off) <= (len(PART_NAMES) + 1) * roundings(lots)


def roundings(lots):
    """How often a component was rounded: each moves at most half a nano, twice."""
    return sum(len(lot.flows) + 1 for lot in lots)


@given(workshops())
def test_a_missing_price_is_missing_in_all_that_descends_from_it(past):
    lots, batches = past
    makes = {entry.code: entry.lot for entry in batches}
    graph = nx.DiGraph()
    graph.add_nodes_from(lot.code for lot in lots)
    for lot in lots:
        for entry in lot.flows:
            if makes.get(entry.batch):
                graph.add_edge(lot.code, makes[entry.batch])
    unknown = {lot.code for lot in lots if not lot.known}
    for code, value in roll_up(lots, batches).lots.items():
        assert value.missing == unknown & {code, *nx.ancestors(graph, code)}
        assert (value.unit_cost is None) == bool(value.missing)


def exact_starts(lots, batches):
    nodes = {lot.code: lot for lot in lots}
    work = {entry.code: sum(entry.work.values()) for entry in batches}
    starts, rates = {}, {}

    def taken_by(batch_code):
        return sum(
            rates[lot.code][entry.id]
            for lot in lots
            for entry in lot.flows
            if entry.batch == batch_code
        )

    for code in nodes:  # the random past lists inputs before what is made of them
        node = nodes[code]
        value = Fraction(sum(node.bought.values()))
        if node.batch:
            value += work[node.batch] + taken_by(node.batch)
        if node.expected is not None:
            value *= Fraction(node.started) / Fraction(max(node.expected, node.started))
        starts[code] = value
        rates[code] = walk(node, value)
    return starts


def walk(node, value):
    """What each flow takes, at the unit cost of its moment."""
    amount, taken, sold = Fraction(node.started), {}, {}
    unit = value / amount
    for entry in node.flows:
        change = Fraction(entry.amount)
        if entry.kind == "reweighed":
            unit = value / (amount + change)
        elif entry.kind == "returned":
            taken[entry.id] = -sold[entry.sale] * change
        else:
            taken[entry.id] = -unit * change
            if entry.kind == "sold":
                sold[entry.sale] = unit
        value -= taken.get(entry.id, 0)
        amount += change
        unit = value / amount if amount else unit
    return taken


@given(workshops())
def test_the_sources_of_a_lot_add_up_to_its_unit_cost(past):
    lots, batches = past
    valuation = roll_up(lots, batches)
    for code, value in valuation.lots.items():
        opened = sources(code, lots, batches, valuation)
        unit = value.known_unit_cost
        assert sum(source.exact for source in opened) == unit
        whole = sum(source.nano for source in opened)
        assert abs(whole - unit * NANO) <= Fraction(1, 2)
        assert len({(s.kind, s.code, s.component) for s in opened}) == len(opened)
