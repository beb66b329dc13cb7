"""What a maker's goods are worth: money follows the goods, and none of it is lost.

Plain fractions, worked out anew from what stands; no sum of the house is used.
"""

from dataclasses import dataclass, field
from fractions import Fraction

from tests.production.clumsy_machine.model import (
    BEGINS,
    NOWHERE,
    Bill,
    BillLine,
    Entry,
    Model,
    Pot,
)

CENT = Fraction(1, 100)
# By which names a maker plans to lose some, and by which she does not.
USUAL, SPILT = {"steam", "left on the walls"}, {"spill", "boiled over"}


@dataclass
class Worth:
    """One lot: what one of it cost, what is left, and what was lost in making it.

    None is what nobody knows yet.
    """

    unit: Fraction | None = None
    left: Fraction | None = None
    abnormal: Fraction | None = None
    took: dict[Entry, Fraction | None] = field(default_factory=dict)


class Purse:
    """Everything asked of one state of the model, each lot worked out once."""

    def __init__(self, model: Model) -> None:
        self.model = model
        self.known: dict[str, Worth] = {}

    def of(self, lot: str) -> Worth:
        if lot not in self.known:
            self.known[lot] = self._walk(lot)
        return self.known[lot]

    def inside(self, pot: Pot) -> Fraction | None:
        """What went into a batch."""
        parts = [self.of(e.lot).took[e] for e in self.model.inside(pot)]
        return None if None in parts else sum(parts, NOWHERE)

    # -- one lot

    def _walk(self, lot: str) -> Worth:
        rows = self.model.course(lot)
        started = self.model.started(lot)
        total = self._total(rows)
        value = self._kept(total, started, lot)
        lost = None if total is None else total - value
        worth = Worth(left=value, abnormal=lost)
        amount, sold, weighed = started, {}, False
        rate = value / started if value is not None and started else None
        worth.unit = rate
        for entry in rows:
            if entry.kind in BEGINS or entry.kind == "moved":
                continue
            change = self._change(entry, value, amount, rate, sold)
            weighed |= entry.kind == "reweighed"
            amount += entry.now
            if value is not None:
                value += change
                rate = value / amount if amount else rate
            worth.took[entry] = None if value is None else -change
        worth.left = value
        if weighed:
            worth.unit = rate
        return worth

    def _total(self, rows: list[Entry]) -> Fraction | None:
        begin = next((e for e in rows if e.kind in BEGINS), None)
        if begin is None:
            return NOWHERE
        if begin.kind == "opening":
            return begin.value
        if begin.kind == "made":
            return self.inside(self.model.pots[begin.batch])
        return self._delivered(begin.line)

    def _kept(self, total, started, lot) -> Fraction | None:
        """What a lot starts with. What was spilt is lost with its value, and so is what
        is short of the expected and has no name; what boils off or stays on the walls
        only makes the rest dearer."""
        thing = self.model.things[lot]
        pot = self.model.pots.get(thing.pot)
        if total is None or pot is None or not started:
            return total
        each = thing.grams or (None if thing.pieces else Fraction(1))
        wanted, named = self.model.expected(pot), self.model.losses(pot)
        spilt = sum((g for kind, g in named.items() if kind in SPILT), NOWHERE)
        if each is None:
            if pot.typed is None or wanted is None:
                return total
            return total * started / max(wanted, started)
        usual = sum((g for kind, g in named.items() if kind in USUAL), NOWHERE)
        bad, short = spilt / each, NOWHERE
        if wanted is not None:
            short = max(wanted - started - bad - usual / each, NOWHERE)
            if pot.typed is None and short * each <= self._scale(pot):
                short = NOWHERE
        return total * started / (started + bad + short)

    def _scale(self, pot) -> Fraction:
        """What a balance may be wrong by: the band of the recipe, or of the house."""
        band = Fraction(5, 100) if pot.loss is not None else Fraction(5, 1000)
        return max(self.model.grams_in(pot) * band, Fraction(1, 10))

    def _change(self, entry, value, amount, rate, sold) -> Fraction:
        """What an entry adds to the value; below zero what it takes."""
        if value is None or entry.kind == "reweighed":
            return NOWHERE
        if entry.kind == "returned":
            price = sold[entry.sale, entry.lot]
            return price * entry.now
        change = rate * entry.now
        if entry.kind == "sold":
            sold[entry.sale, entry.lot] = rate
        return change

    # -- what it cost at the door

    def _delivered(self, line: BillLine) -> Fraction | None:
        parts = [line.price]
        parts += [
            shares.get(line) if shares else None for shares in self._shares(line.bill)
        ]
        return None if None in parts else sum(parts, NOWHERE)

    def _shares(self, bill: Bill) -> list[dict[BillLine, Fraction] | None]:
        """Each standing extra cost, shared over the lines that stand; None: unknown."""
        lines = [one for one in bill.lines if self._arrived(one)]
        found = []
        for act, amount, by in bill.extras:
            if act.stands:
                weights = [self._weight(line, by) for line in lines]
                known = None not in weights
                found.append(
                    dict(zip(lines, in_cents(amount, weights), strict=True))
                    if known
                    else None
                )
        return found

    def _arrived(self, line: BillLine) -> Fraction:
        rows = [e for e in self.model.course(line.lot) if e.line is line]
        return sum((entry.now for entry in rows), NOWHERE)

    def _weight(self, line: BillLine, by: str) -> Fraction | None:
        if by == "value":
            return line.price
        if by == "quantity":
            return self._arrived(line)
        if line.shipped is not None:
            return line.shipped
        thing = self.model.things[line.lot]
        return None if thing.pieces else self._arrived(line)


def in_cents(total: Fraction, weights: list[Fraction]) -> list[Fraction]:
    """Share a bill in whole cents; those left over go to the largest remainders."""
    whole, weight = total / CENT, sum(weights)
    exact = [whole * one / weight for one in weights]
    cents = [int(share) for share in exact]
    order = sorted(range(len(exact)), key=lambda at: (cents[at] - exact[at], at))
    for at in order[: int(whole) - sum(cents)]:
        cents[at] += 1
    return [CENT * one for one in cents]
