"""The roll-up: value follows the lots, component by component, and none is lost.

Value is a whole number of 1e-9 currency units ("nano"). Amounts are grams or pieces
with at most 3 places, walked as whole thousandths.
"""

from costing.domain.rollup.lots import Flow, LotNode, LotValue
from costing.domain.rollup.parts import NANO, Parts, portion, thousandths
from costing.domain.rollup.sources import Source, sources
from costing.domain.rollup.valuation import (
    BatchNode,
    Totals,
    Valuation,
    difference,
    roll_up,
)

__all__ = [
    "NANO",
    "BatchNode",
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
