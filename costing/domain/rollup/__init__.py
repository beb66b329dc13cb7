"""The roll-up: value follows the lots, component by component, and none is lost.

Value is a whole number of 1e-9 currency units ("nano"). Amounts are grams or pieces
with at most 3 places, walked as whole thousandths.
"""

from costing.domain.rollup.lots import OUTFLOWS, Flow, LotNode, LotValue
from costing.domain.rollup.parts import NANO, Parts, portion, thousandths
from costing.domain.rollup.sources import Source, sources
from costing.domain.rollup.valuation import (
    BatchNode,
    Circle,
    Totals,
    Valuation,
    difference,
    roll_up,
)

__all__ = [
    "NANO",
    "OUTFLOWS",
    "BatchNode",
    "Circle",
    "Flow",
    "LotNode",
    "LotValue",
    "Parts",
    "Source",
    "Totals",
    "Valuation",
    "difference",
    "portion",
    "roll_up",
    "sources",
    "thousandths",
]
