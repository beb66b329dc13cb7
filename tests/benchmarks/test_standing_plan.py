"""Standing entries are found by what is asked for, on a database nobody analysed."""

import pytest
from django.db import connection

from production.models import Movement
from tests import make

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.skipif(connection.vendor != "sqlite", reason="SQLite's alone"),
]

QUESTIONS = {
    "of a batch": lambda lot: lot.batch.movements.standing().filter(kind="used"),
    "of some batches": lambda lot: Movement.objects.standing().filter(
        batch__in=[lot.batch_id, 2, 3], kind__in=["used", "made"]
    ),
    "of some lots": lambda lot: Movement.objects.standing().filter(lot__in=[lot.pk, 2]),
}


@pytest.mark.parametrize("question", QUESTIONS)
def test_nothing_is_looked_up_by_what_it_reverses(question):
    lot = make.batch(uses=[(make.lot(), "10")])
    plan = QUESTIONS[question](lot).explain()
    first = plan.splitlines()[0]
    assert "(batch_id=?" in first or "(lot_id=?" in first, plan
