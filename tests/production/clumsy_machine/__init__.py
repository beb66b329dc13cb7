"""A machine that makes mistakes and mends them, held against what a maker means."""

from tests.production.clumsy_machine.bench import Bench, Fault, counted
from tests.production.clumsy_machine.buying import Buying
from tests.production.clumsy_machine.leaving import Leaving
from tests.production.clumsy_machine.making import Making
from tests.production.clumsy_machine.mending import Mending

__all__ = ["ClumsyMachine", "Fault", "counted"]


class ClumsyMachine(Buying, Making, Leaving, Mending, Bench):
    """Purchases, batches, sales; what was mistyped in them, and what was put right."""
