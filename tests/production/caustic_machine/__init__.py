"""A machine that looks for a way by which an unfit lot leaves."""

from tests.production.caustic_machine.bench import Bench, Fault, counted
from tests.production.caustic_machine.judging import Judging
from tests.production.caustic_machine.leaving import Coming, Leaving, Mending
from tests.production.caustic_machine.making import Making

__all__ = ["CausticMachine", "Fault", "counted"]


class CausticMachine(Coming, Making, Judging, Leaving, Mending, Bench):
    """The maker's deeds, mistakes included."""
