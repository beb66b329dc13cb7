"""What was there before the book began."""

from decimal import Decimal

import pytest

from production.buying.actions.purchases import open_stock
from production.models import Lot
from production.stock.actions.opening_lots import NewLot
from production.stock.reads.stock import status_on
from production.workshop.actions.cards import ensure_place
from tests import make
from tests.make import DAY, act

pytestmark = pytest.mark.django_db


def opened(**facts):
    lot = facts.pop("lot", NewLot(Decimal(1200), code="OLD-1", typed="1.2 kg"))
    facts = {"item": make.item(), "lot": lot, "value": Decimal("7.20"), **facts}
    return open_stock(**facts, **act())


def test_it_writes_a_lot_with_an_opening_entry_and_its_value():
    lot = opened()
    entry = lot.movements.get()
    assert (entry.kind, entry.amount, entry.on) == ("opening", 1200, DAY)
    assert (entry.value, entry.typed) == (Decimal("7.20"), "1.2 kg")
    assert (lot.code, lot.batch, lot.line) == ("OLD-1", None, None)


def test_a_value_that_nobody_knows_stays_unknown():
    assert opened(value=None).movements.get().value is None


def test_it_is_released_unless_it_is_said_to_be_something_else():
    assert status_on(opened(), DAY) == "released"
    held = NewLot(Decimal(5), status="held")
    assert status_on(opened(lot=held), DAY) == "held"


def test_it_may_stand_at_another_place():
    shop = ensure_place("shop")
    assert opened(place=shop).movements.get().place == shop


def test_filled_bottles_may_be_opened_with_their_net_mass():
    soap = make.item("hand soap 250", kind="made", unit="piece")
    lot = NewLot(Decimal(30), net_mass=Decimal("258.5"))
    assert opened(item=soap, lot=lot).net_mass == Decimal("258.5")


@pytest.mark.parametrize(
    ("amount", "value", "says"),
    [
        ("1200", "-1", "not worth less than nothing"),
        ("0", "1", "write how much there was"),
        ("-3", "1", "write how much there was"),
        ("0.0005", "1", "finer than 0.001"),
    ],
)
def test_it_refuses_what_cannot_be(amount, value, says):
    facts = {"item": make.item(), "lot": NewLot(Decimal(amount))}
    with make.refused(says):
        open_stock(**facts, value=Decimal(value), **act())


def test_it_refuses_a_code_that_is_taken():
    opened()
    facts = {"item": make.item(), "lot": NewLot(Decimal(1), code="OLD-1")}
    with make.refused("OLD-1 is taken"):
        open_stock(**facts, **act())


def test_the_same_key_answers_with_the_first_lot():
    facts = {"item": make.item(), "lot": NewLot(Decimal(40))}
    lot = make.sent_twice(open_stock, **facts, **act())
    assert list(Lot.objects.all()) == [lot]
