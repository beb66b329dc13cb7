"""Values that are kept are those that the roll-up finds from nothing, at every step."""

import pytest
from hypothesis import HealthCheck, given, settings

from costing.actions.keeping import remake_values
from costing.models import KeptFlow, KeptLot
from costing.reads.differing import differing
from production.models import Lot
from tests.production.exchange.test_workshop_laws import in_an_empty_book
from tests.production.random_workshop import RandomWorkshop, steps

pytestmark = pytest.mark.django_db


def lived(past):
    """Play a past, and look after each step."""
    workshop = RandomWorkshop()
    for one in past:
        workshop.play([one])
        assert list(differing()) == [], one
    assert KeptLot.objects.count() == Lot.objects.count()
    kept = KeptFlow.objects.count()
    remake_values()
    assert list(differing()) == []
    assert KeptFlow.objects.count() == kept


@settings(
    max_examples=8,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(steps())
def test_what_is_kept_is_what_the_entries_come_to_after_every_step(db, steps):
    in_an_empty_book(lambda: lived(steps))
