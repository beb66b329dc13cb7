"""Of what an owner says, after a restore, that something happened since.

A batch that has made its lot is in that lot: a hold of it has to stop the lot. Only a
batch that stands open is held itself.
"""

import pytest

from production.batches.actions.batches import start_batch
from production.restoring.forms import SinceRow
from tests import make
from tests.make import act

pytestmark = pytest.mark.django_db


def said_of(text):
    row = {"of": text, "what": "held", "day": "2026-03-05", "words": "it smells"}
    form = SinceRow(row)
    assert form.is_valid(), form.errors
    return form.cleaned_data["of"]


def test_the_mark_of_a_batch_that_is_done_means_its_lot():
    lot = make.cook(batch_code="B-DONE", code="P1")
    assert said_of("B-DONE") == lot
    assert said_of("p1") == lot


def test_the_mark_of_an_open_batch_means_the_batch():
    batch = start_batch(stage="cook", code="B-OPEN", **act())
    assert said_of("b-open") == batch
