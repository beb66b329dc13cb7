"""A unit cost opened like a drawer: down to bought lots and the batches' work."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from math import floor
from typing import Literal, NamedTuple

from costing.domain.rollup.lots import LotNode
from costing.domain.rollup.parts import NANO, Parts, portion
from costing.domain.rollup.valuation import BatchNode, Valuation, batch_of

# Shares are split as whole 1e-20 nano: exact fractions grow without end in a long
# chain of lots, and rounded ones would not add up.
FINE = 10**20


class Origin(NamedTuple):
    """Where a piece of value was before; ``made`` lots are opened further."""

    kind: Literal["lot", "batch", "made"]
    code: str


@dataclass(frozen=True, slots=True)
class Source:
    """A bought lot's or a batch's work's share of another lot's unit cost.

    ``exact`` is currency per unit; ``nano`` adds up to the unit cost at 9 places.
    """

    kind: Literal["lot", "batch"]
    code: str
    component: str
    exact: Fraction
    nano: int


def sources(
    code: str,
    lots: Iterable[LotNode],
    batches: Iterable[BatchNode],
    valuation: Valuation,
) -> list[Source]:
    """Open one lot's unit cost down to bought lots and work, farthest first.

    The exact shares add up to the known unit cost, the nano ones to it at 9 places
    (largest remainder, ties to the first). Empty while nothing is made. Every outflow
    takes all origins of a component alike, so a lot's origins keep their proportions
    all its life.
    """
    value = valuation.lots[code]
    if not value.rate_amount:
        return []
    inputs = _Inputs(lots, batches, valuation)
    waiting = {code: {name: nano * FINE for name, nano in value.rate_parts.items()}}
    found: list[tuple[Literal["lot", "batch"], str, str, int]] = []
    for lot in reversed(list(valuation.lots)):
        for name, fine in waiting.pop(lot, {}).items():
            for origin, piece in _split(fine, inputs.of(lot, name)):
                if origin.kind == "made":
                    earlier = waiting.setdefault(origin.code, {})
                    earlier[name] = earlier.get(name, 0) + piece
                elif piece:
                    found.append((origin.kind, origin.code, name, piece))
    found.reverse()
    unit = FINE * NANO * Fraction(value.rate_amount)
    shares = [piece / unit for *_, piece in found]
    return [
        Source(kind, source, name, share, nano)
        for (kind, source, name, _), share, nano in zip(
            found, shares, _whole_nano(shares), strict=True
        )
    ]


class _Inputs:
    """What went into each lot, by component."""

    def __init__(
        self,
        lots: Iterable[LotNode],
        batches: Iterable[BatchNode],
        valuation: Valuation,
    ) -> None:
        self.nodes = {lot.code: lot for lot in lots}
        self.work = {batch.code: batch.work for batch in batches}
        self.uses: dict[str, list[tuple[str, Parts]]] = {}
        for code, node in self.nodes.items():
            taken = valuation.lots[code].taken
            for flow in node.flows:
                if flow.kind == "used":
                    into = self.uses.setdefault(batch_of(flow, node), [])
                    into.append((code, taken[flow.id]))

    def of(self, code: str, name: str) -> list[tuple[Origin, int]]:
        node = self.nodes[code]
        inputs = [(Origin("lot", code), node.bought.get(name, 0))]
        if node.batch is not None:
            work = self.work[node.batch]
            inputs.append((Origin("batch", node.batch), work.get(name, 0)))
            inputs += [
                (Origin("made", origin), taken.get(name, 0))
                for origin, taken in self.uses.get(node.batch, ())
            ]
        return [(origin, nano) for origin, nano in inputs if nano]


def _split(fine: int, inputs: list[tuple[Origin, int]]) -> Iterator[tuple[Origin, int]]:
    """Split in proportion to signed inputs; the dust goes to the first of them."""
    whole = sum(nano for _, nano in inputs)
    if not fine:
        return
    pieces = [fine * nano // whole for _, nano in inputs]
    pieces[0] += fine - sum(pieces)
    for (origin, _), piece in zip(inputs, pieces, strict=True):
        yield origin, piece


def _whole_nano(shares: list[Fraction]) -> list[int]:
    """Round signed shares to nano that add up to their rounded sum."""
    nanos = [share * NANO for share in shares]
    exact = sum(nanos, Fraction(0))
    target = portion(exact.numerator, 1, exact.denominator)
    parts = [floor(nano) for nano in nanos]
    by_remainder = sorted(
        range(len(parts)), key=lambda place: (parts[place] - nanos[place], place)
    )
    for place in by_remainder[: target - sum(parts)]:
        parts[place] += 1
    return parts
