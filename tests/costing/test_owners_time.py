"""An owner's unpaid time: in no value of stock, told apart as what it would add.

IAS 2.12 puts into stock what work cost; time that nobody is paid for cost nothing. A
rate to manage by beside it: common practice, no source.
"""

from decimal import Decimal as D

import pytest
from django.core.management import call_command
from django.urls import reverse

from costing.reads import book_behind, whole_book
from costing.reads.owners_time import owners_time
from production.batches.actions.working import note_work
from production.correcting.actions.undoing import undo_deed
from production.models import Deed
from production.yields.domain.hours_and_losses import NewWork
from tests import make
from tests.make import act

pytestmark = pytest.mark.django_db


def soap_and_bottles():
    """1,000 g of soap for 10.00, 2 h of Ines at 24.00; half of it fills 50 bottles."""
    oil = make.lot(grams="1000", price="10.00")
    soap = make.batch(
        uses=[(oil, "1000")],
        amount="1000",
        code="SOAP",
        work=[NewWork("unpaid", D(2), D(24), "Ines")],
    )
    return make.batch(
        "filling",
        uses=[(soap, "500"), (make.bottles(pieces="50"), "50")],
        makes="hand soap 10",
        unit="piece",
        amount="50",
        code="BOTTLES",
        work=[NewWork("labour", D(1), D(20), "Tobias")],
    )


def of(lot):
    return owners_time(book_behind(lot), lot.code)


def test_it_follows_the_soap_into_the_bottle_and_stays_out_of_its_cost():
    bottle = soap_and_bottles()
    # 5.00 of oil, 25.00 of bottles, 20.00 of Tobias, in 50; and half of 48.00 apart.
    assert book_behind(bottle).valuation.lots["BOTTLES"].unit_cost == 1
    assert of(bottle) == D("0.48")
    totals = whole_book().valuation.totals
    assert totals.making_cost == 20 * 10**9


def test_hours_taken_back_add_nothing():
    bottle = soap_and_bottles()
    work = [NewWork("unpaid", D(1), D(50), "Ines")]
    note_work(batch=bottle.batch, work=work, **act(3))
    assert of(bottle) == D("1.48")
    undo_deed(undone=Deed.objects.latest("pk"), **act(4, reason="a slip"))
    assert of(bottle) == D("0.48")


def test_the_page_and_the_command_tell_it_apart(desk, capsys):
    bottle = soap_and_bottles()
    text = desk.get(reverse("lot-cost", args=[bottle.code])).content.decode()
    assert "With the owner's time" in text
    assert "1.48" in text
    assert "0.48" in text
    call_command("cost", "BOTTLES")
    assert "an owner's unpaid time, in none of these: 0.480000000" in (
        capsys.readouterr().out
    )


def test_a_lot_without_any_says_nothing_of_it(desk):
    lot = make.lot("L9")
    text = desk.get(reverse("lot-cost", args=[lot.code])).content.decode()
    assert "owner's time" not in text
