"""A lot that was weighed twice, also on one day.

Only water comes and goes between two weighings: what a lot holds of soap or alkali is
the same before and after, whichever of them stand. The evening's weight is the last.
"""

from decimal import Decimal as D

import pytest

from production.contents.reads.reweighing import last_weighing, soap_content
from production.correcting.actions.undoing import undo_deed
from production.counting.reads import disagreeing
from production.models import Deed
from tests import make
from tests.make import act, day
from tests.production.contents.test_reweighing import a_pot, reweigh

pytestmark = pytest.mark.django_db

DAYS = [(6, 6), (5, 6)]
# Contents are kept to a millionth of a lot that weighs 1,600 g.
CLOSE = D("0.002")


def weighings():
    return Deed.objects.filter(verb="reweigh a lot", undone_by=None).order_by("pk")


def soap_in(lot):
    return make.on_hand(lot) * soap_content(lot, day(9)).share


def alkali_in(lot):
    purity = lot.measurements.filter(what="purity").order_by("pk").last()
    return make.on_hand(lot) * purity.value


@pytest.mark.parametrize("days", DAYS)
def test_the_second_weight_is_the_last(days):
    paste = a_pot()
    soap = soap_in(paste)
    reweigh(paste, "1500", days[0])
    reweigh(paste, "1400", days[1])
    assert make.on_hand(paste) == 1400
    assert abs(soap_in(paste) - soap) < CLOSE
    last = last_weighing(paste)
    assert (last.before, last.after) == (1500, 1400)
    assert disagreeing(paste) == []


@pytest.mark.parametrize("days", DAYS)
def test_the_later_one_is_taken_back_and_the_earlier_stands(days):
    paste = a_pot()
    soap = soap_in(paste)
    reweigh(paste, "1500", days[0])
    reweigh(paste, "1400", days[1])
    undo_deed(undone=weighings().last(), **act(9))
    assert make.on_hand(paste) == 1500
    assert abs(soap_in(paste) - soap) < CLOSE
    last = last_weighing(paste)
    assert (last.before, last.after) == (1600, 1500)


@pytest.mark.parametrize("days", DAYS)
def test_the_earlier_one_is_not_taken_back_from_under_the_later(days):
    """Else 1,400 g of paste that stand there would hold the soap of 1,500 g."""
    paste = a_pot()
    soap = soap_in(paste)
    reweigh(paste, "1500", days[0])
    reweigh(paste, "1400", days[1])
    with make.refused("'reweigh a lot' of 2026-03-06 rests on it"):
        undo_deed(undone=weighings().first(), **act(9))
    undo_deed(undone=weighings().first(), along=True, **act(9))
    assert make.on_hand(paste) == 1600
    assert abs(soap_in(paste) - soap) < CLOSE
    assert last_weighing(paste) is None


def test_flakes_that_drew_damp_twice_hold_the_alkali_they_came_with():
    """Called weaker than they are, too much of them would go into the next pot."""
    flakes = make.koh("0.9", grams="1000")
    reweigh(flakes, "1020", 6)
    reweigh(flakes, "1040", 6)
    assert abs(alkali_in(flakes) - 900) < CLOSE
    with make.refused("rests on it"):
        undo_deed(undone=weighings().first(), **act(9))
    undo_deed(undone=weighings().last(), **act(9))
    assert abs(alkali_in(flakes) - 900) < CLOSE


def test_a_weighing_of_another_lot_rests_on_nothing():
    one, other = make.koh("0.9", grams="1000"), make.koh("0.8", code="K2")
    reweigh(one, "1020", 6)
    reweigh(other, "5100", 6)
    undo_deed(undone=weighings().first(), **act(9))
    assert make.on_hand(one) == 1000
    assert make.on_hand(other) == 5100


def test_a_lot_is_not_weighed_behind_a_later_weighing():
    paste = a_pot()
    reweigh(paste, "1500", 6)
    with make.refused("was weighed again on 2026-03-06"):
        reweigh(paste, "1550", 5)
