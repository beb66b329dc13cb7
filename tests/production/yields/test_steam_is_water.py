"""A cook cannot boil off more water than it had, whatever its record says.

Water weighed in, the water of the alkali, and what its reactions form: convention of
the book (purity by mass, the rest of the alkali counted as water).
"""

from decimal import Decimal

import pytest

from production.batches.actions.batches import run_batch
from production.batches.actions.new_batch import Output, Use
from production.models import Movement, ReferenceOil
from production.yields.domain.hours_and_losses import NewLoss
from tests import make

pytestmark = pytest.mark.django_db
D = Decimal


def cook(out, water="300", losses=(), **facts):
    oil = ReferenceOil.objects.get(key="olive-oil")
    olive = make.item("olive oil", category="oil", oil=oil)
    pours = [
        (make.lot(item=olive, grams="1000"), "1000"),
        (make.koh("0.9", grams="200"), "200"),
    ]
    if D(water):
        tap = make.item("water", category="water")
        pours.append((make.lot(item=tap, grams="1000"), water))
    return {
        "stage": "cook",
        "uses": [Use(D(amount), lot) for lot, amount in pours],
        "output": Output(D(out), item=make.item("paste", kind="made")),
        "losses": losses,
        **make.act(),
        **facts,
    }


def test_all_of_its_water_may_go():
    """300 g weighed in and 20 g in 200 g of potash of 90 %."""
    assert run_batch(**cook("1180")).batch.stage == "cook"


@pytest.mark.parametrize(
    ("out", "losses"),
    [("1100", ()), ("1000", ()), ("1170", (NewLoss("steam", D(330)),))],
)
def test_more_than_its_water_is_refused(out, losses):
    facts = cook(out, losses=losses)
    with make.refused("more than all its water", "Weigh the paste again"):
        run_batch(**facts)


def test_a_loss_that_has_a_name_is_no_steam():
    spilt = (NewLoss("spill", D(200)),)
    assert run_batch(**cook("1000", losses=spilt))


def test_the_water_of_the_alkali_counts():
    facts = cook("1100", water="0")
    with make.refused("more than all its water"):
        run_batch(**facts)
    facts["output"] = Output(D(1182), item=make.item("paste"))
    assert run_batch(**facts)


def test_what_is_not_known_is_not_judged():
    facts = cook("1100")
    unknown = make.lot(item=make.item("lye", category="alkali"), grams="300")
    facts["uses"].append(Use(D(300), unknown))
    run_batch(**facts)
    assert Movement.objects.filter(kind="made").exists()


def test_a_past_that_was_moved_in_is_taken_as_it_was():
    assert run_batch(**cook("1000"), key="history:abc:1")
