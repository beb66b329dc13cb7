"""Values that are kept are those that the roll-up finds from nothing, at every step."""

from datetime import timedelta

import pytest
from hypothesis import HealthCheck, given, settings

from costing.actions.keeping import remake_values
from costing.models import KeptFlow, KeptLot
from costing.reads.differing import differing
from production.models import Deed, Lot, Movement, Work
from tests.costing.on_days import same_as_from_nothing
from tests.production.exchange.test_workshop_laws import in_an_empty_book
from tests.production.random_workshop import RandomWorkshop, steps

pytestmark = pytest.mark.django_db


def days():
    """Every day on which something is dated, and the one before the first."""
    found = set(Movement.objects.values_list("on", flat=True))
    found |= set(Work.objects.values_list("on", flat=True))
    found |= set(Deed.objects.values_list("on", flat=True))
    return sorted({*found, min(found) - timedelta(days=1)}) if found else []


def lived(past):
    """Play a past, and look after each step."""
    workshop = RandomWorkshop()
    for one in past:
        workshop.play([one])
        assert list(differing()) == [], one
    assert KeptLot.objects.count() == Lot.objects.count()
    kept = KeptFlow.objects.count()
    for day in days():
        same_as_from_nothing(day)
    remake_values("a test")
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
