"""A short run of the search for a mistake after which the book says what nobody meant.

The long one: ``python -m tests.meaning_search``.
"""

import pytest
from hypothesis import HealthCheck, Phase, settings
from hypothesis.stateful import run_state_machine_as_test

from tests.production.clumsy_machine import ClumsyMachine

pytestmark = pytest.mark.django_db

SHORT = settings(
    max_examples=4,
    stateful_step_count=14,
    derandomize=True,
    # A fault is told as a list of deeds; making it shorter takes hours.
    phases=[Phase.generate],
    report_multiple_bugs=False,
    database=None,
    deadline=None,
    suppress_health_check=list(HealthCheck),
)


def test_the_book_says_what_was_meant_after_mistakes_and_their_mending():
    run_state_machine_as_test(ClumsyMachine, settings=SHORT)
