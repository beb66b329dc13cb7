"""A maker does not undo an owner's deed; their own, and an imported past, they do."""

from decimal import Decimal

import pytest

from production.batches.actions.batches import start_batch, use_lots
from production.batches.actions.new_batch import Use
from production.correcting.actions.entries import correct_movement, reverse_movement
from production.correcting.actions.undoing import undo_deed
from production.exchange.actions.replaying import clerk
from production.models import Movement
from tests import make

pytestmark = pytest.mark.django_db
SAYS = "This was written by an owner: ask one to mend it."


def used(by):
    """An entry that can be corrected, and the deed that wrote it."""
    oil = make.lot(item=make.item("rapeseed oil", category="oil"))
    batch = start_batch(stage="cook", **make.act(by=by))
    use = Use(Decimal(10), oil)
    use_lots(batch=batch, uses=[use], **make.act(by=by))
    return Movement.objects.get(kind="used", batch=batch)


MENDS = {
    "undo": lambda row, act: undo_deed(undone=row.deed, **act),
    "take back": lambda row, act: reverse_movement(movement=row, **act),
    "correct": lambda row, act: correct_movement(
        movement=row, amount=Decimal(9), **act
    ),
}


@pytest.mark.parametrize("name", MENDS)
def test_a_maker_leaves_what_an_owner_signed(name):
    row = used(make.owner())
    with make.refused(SAYS):
        MENDS[name](row, make.act(4, by=make.maker(), reason="misread"))
    MENDS[name](row, make.act(4, reason="misread"))


@pytest.mark.parametrize("name", MENDS)
@pytest.mark.parametrize("who", [make.maker, clerk])
def test_a_maker_mends_their_own_and_an_imported_past(name, who):
    row = used(who())
    MENDS[name](row, make.act(4, by=make.maker(), reason="misread"))
    assert Movement.objects.filter(reverses=row).exists()
