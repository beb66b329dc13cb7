"""Filled bottles wait for their labels: nothing goes out before it was packed.

Who releases a lot lets it be sold as it stands there. A label that went on later was
not on it, so a release, typed or by a passed check, is of that day or later.
"""

from decimal import Decimal

import pytest

from production.batches.actions.batches import use_lots
from production.batches.actions.new_batch import Use
from production.recipes.actions.formulas import NewVersionLine
from production.release.actions.readings import note_measurement
from production.release.actions.statuses import release_lot
from production.stock.reads.stock import status_on
from tests import make
from tests.make import act, check, day

pytestmark = pytest.mark.django_db


@pytest.fixture
def labelled():
    """Bottles filled on the 2nd under a recipe with a check, labelled on the 4th."""
    bottle = make.item("bottle 250", kind="packaging", unit="piece")
    recipe = make.version(
        "filling",
        makes=make.item("hand soap 250", kind="made", unit="piece"),
        lines=[NewVersionLine(bottle, each=Decimal(1))],
        release="check",
    )
    lot = make.filled(status="", version=recipe, net_mass="250")
    labels = make.item("label 250", kind="packaging", unit="piece")
    use = Use(Decimal(20), make.lot("LAB", item=labels, grams="100"))
    use_lots(batch=lot.batch, uses=[use], **act(4))
    return lot


def test_no_bottle_is_released_before_its_label_was_on_it(labelled):
    note_measurement(lot=labelled, readings=[check()], **act(3))
    with make.refused(f"LAB went onto {labelled} on 2026-03-04"):
        release_lot(lot=labelled, **act(3))
    # Labelled in the morning, released in the evening.
    release_lot(lot=labelled, **act(4))
    assert status_on(labelled, day(4)) == "released"
    assert status_on(labelled, day(3)) == "quarantine"


def test_a_passed_check_of_the_day_before_releases_nothing(labelled):
    note_measurement(lot=labelled, readings=[check()], **act(3))
    assert status_on(labelled, day(9)) == "quarantine"


def test_a_passed_check_of_the_day_itself_releases(labelled):
    note_measurement(lot=labelled, readings=[check()], **act(4))
    assert status_on(labelled, day(4)) == "released"
