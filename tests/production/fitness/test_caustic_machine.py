"""A short run of the search for a way by which an unfit lot leaves.

The long one: ``python -m tests.caustic_search``.
"""

import pytest
from hypothesis import HealthCheck, Phase, settings
from hypothesis.stateful import run_state_machine_as_test

from tests.production.caustic_machine import CausticMachine

pytestmark = pytest.mark.django_db

SHORT = settings(
    max_examples=12,
    stateful_step_count=30,
    derandomize=True,
    # A fault is told as a list of deeds; making it shorter takes minutes.
    phases=[Phase.generate],
    report_multiple_bugs=False,
    database=None,
    deadline=None,
    suppress_health_check=list(HealthCheck),
)


def test_no_way_is_found_by_which_an_unfit_lot_leaves():
    run_state_machine_as_test(CausticMachine, settings=SHORT)
