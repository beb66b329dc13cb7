"""What is not fit goes to nobody, and the book says who can lift that.

A maker cannot hand a bottle of a rejected, held, waiting or expired lot to anybody,
under whatever name: gift, tester, own use, or a sample for somebody. An owner lets only
the expired one go, and says why. To bench, laboratory and bin the way is open.
"""

from decimal import Decimal

import pytest

from production.batches.actions.batches import run_batch
from production.batches.actions.new_batch import Output, Use
from production.lots.actions.lot_deeds import discard, give, move_lot
from production.lots.actions.places import add_place
from production.models import Lot
from production.release.actions.statuses import hold_lot, reject_lot
from production.selling.actions.customers import ensure_customer
from production.selling.actions.sales import NewSaleLine, sell
from tests import make
from tests.make import act, day

pytestmark = pytest.mark.django_db
SAYS = {
    "rejected": "Rework it into a new lot, or discard it",
    "held": "An owner lifts the cause",
    "quarantine": "not released. Release it first",
    "expired": "an owner may let it go all the same with a reason",
}
HANDED = [
    ("gift", ""),
    ("tester", ""),
    ("own use", ""),
    ("sample", "Ada"),
    ("retained", "Ada"),
]


def lot_that_is(state):
    soap = make.filled(
        "HS-1", status="quarantine" if state == "quarantine" else "released"
    )
    if state == "rejected":
        reject_lot(lot=soap, **act(3, reason="cloudy"))
    elif state == "held":
        hold_lot(lot=soap, **act(3, reason="a customer's rash"))
    elif state == "expired":
        Lot.objects.filter(pk=soap.pk).update(expires=day(3))
        soap.refresh_from_db()
    return soap


def handed(soap, why, who="", **facts):
    return give(
        lot=soap, amount=Decimal(1), why=why, recipient=who, **{**act(5), **facts}
    )


@pytest.mark.parametrize("state", sorted(SAYS))
class TestDoors:
    @pytest.mark.parametrize(("why", "who"), HANDED)
    def test_nobody_is_given_of_it(self, state, why, who):
        soap = lot_that_is(state)
        with make.refused("HS-1", SAYS[state]):
            handed(soap, why, who, by=make.maker())

    def test_the_bench_and_the_bin_are_open(self, state):
        soap = lot_that_is(state)
        handed(soap, "sample")
        handed(soap, "laboratory", "A laboratory")
        discard(lot=soap, amount=Decimal(1), **act(5, reason="cloudy"))
        assert make.on_hand(soap) == 17

    def test_it_is_not_sold_nor_carried_to_a_shop(self, state):
        soap = lot_that_is(state)
        shop = add_place(name="Tin", customer=ensure_customer("The Tin Lantern"))
        make.maker()
        with make.refused(SAYS[state]):
            move_lot(lot=soap, amount=Decimal(1), to=shop, **act(5))
        line = NewSaleLine(soap, Decimal(1))
        with make.refused(SAYS[state]):
            sell(lines=[line], channel="stall", **act(5))

    def test_an_owner_lifts_in_the_act_what_expired_and_nothing_else(self, state):
        soap = lot_that_is(state)
        by_owner = {"override": True, "reason": "for my own kitchen"}
        make.maker()
        with make.refused(SAYS[state]):
            handed(soap, "gift", "Ada", by=make.maker(), **by_owner)
        if state == "expired":
            assert handed(soap, "gift", "Ada", **by_owner)
        else:
            with make.refused(SAYS[state]):
                handed(soap, "gift", "Ada", **by_owner)


def test_nothing_is_made_in_a_customers_shop():
    shop = add_place(name="Tin", customer=ensure_customer("The Tin Lantern"))
    soap = make.proven(grams="900", item=make.item("diluted soap", kind="made"))
    wash = make.item("hand wash", kind="made", unit="piece")
    uses = [Use(lot=soap, amount=Decimal(900))]
    out = Output(Decimal(3), wash, code="HW-1", place=shop)
    with make.refused("Tin is a customer's", "when it is released"):
        run_batch(stage="filling", uses=uses, output=out, **act())
