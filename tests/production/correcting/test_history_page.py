"""Mending the book from its pages."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from production.batches.actions.batches import start_batch, use_lots
from production.batches.actions.new_batch import Use
from production.models import Closing, Lot
from production.record.reads.clock import today
from tests import make
from tests.production.writing import holds, typed

# The page of a closing, with signing in and the head of the page.
CLOSING_ASKS = 22


def on_hand(lot):
    return Lot.objects.with_on_hand().get(pk=lot.pk).on_hand


def test_take_a_whole_deed_back(desk):
    lot = make.lot("L1")
    url = reverse("deed-undo", args=[lot.deed_id])
    holds(desk, url, {"reason": "never arrived"}, {"reason": ""}, "required")
    assert on_hand(lot) == 0


def test_take_an_entry_back(desk):
    lot = make.lot("L1")
    url = reverse("entry-take-back", args=[lot.movements.get().pk])
    holds(desk, url, {"reason": "never arrived"}, {"reason": ""}, "required")
    assert on_hand(lot) == 0
    assert url not in desk.get(reverse("lot", args=["L1"])).content.decode()


def test_correct_an_entry(desk):
    lot = make.lot("L1")
    url = reverse("entry-correct", args=[lot.movements.get().pk])
    good = {"amount": "1.2 kg", "reason": "misread"}
    holds(desk, url, good, {"amount": "0"}, "0 is nothing")
    assert on_hand(lot) == 1200


def test_close_a_month(desk):
    over = today().replace(day=1) - timedelta(days=1)
    make.lot("L1", on=over)
    through, later = str(over), str(over + timedelta(days=9))
    says = "Select a valid choice"
    holds(desk, reverse("book-close"), {"through": through}, {"through": later}, says)
    assert str(Closing.objects.get().through) == through


def test_what_is_open_in_a_month_stands_before_the_act(desk):
    """Oil without a price, an open batch: the page names them, and closes all the same.

    The month after is asked about by itself: its open batch is not of this one.
    """
    over = today().replace(day=1) - timedelta(days=1)
    make.lot("L1", price=None, on=over)
    used = make.lot("L2", on=over)
    batch = start_batch(stage="dilution", code="B-1", on=over, by=make.owner())
    use = Use(Decimal(10), lot=used)
    use_lots(batch=batch, uses=[use], on=over, by=make.owner())
    act = {"on": today(), "by": make.owner()}
    late = start_batch(stage="dilution", code="B-2", **act)
    use_lots(batch=late, uses=[use], **act)
    page = desk.get(reverse("book-close")).content.decode()
    for says in ("Goods without a price", "Open batches", "Dilution B-1"):
        assert says in page
    assert "Purchases without an invoice" in page
    assert "Dilution B-2" not in page
    assert "Checks, readings, holds, releases, steps and looks are never" in page


@pytest.mark.parametrize("lots", [1, 12])
def test_the_closing_page_asks_the_same_however_much_is_open(desk, lots):
    over = today().replace(day=1) - timedelta(days=1)
    for _ in range(lots):
        make.lot(price=None, on=over)
    with CaptureQueriesContext(connection) as asked:
        desk.get(reverse("book-close"))
    assert len(asked) <= CLOSING_ASKS


def test_a_maker_does_not_close_a_month(client, owner):
    client.force_login(make.maker())
    url = reverse("book-close")
    over = today().replace(day=1) - timedelta(days=1)
    make.lot("L1", on=over)
    sent = typed(client.get(url)) | {"through": str(over)}
    page = client.post(url, sent).content.decode()
    assert "Only an owner may close a month" in page
    assert not Closing.objects.exists()


def test_the_history_names_the_lots_and_offers_to_take_back(desk):
    lot = make.lot("L1")
    page = desk.get(reverse("history")).content.decode()
    assert "record a purchase" in page
    assert "L1" in page
    assert reverse("deed-undo", args=[lot.deed_id]) in page
