"""Selling, and taking back."""

from decimal import Decimal

import pytest
from django.urls import reverse

from production.lots.actions.lot_deeds import move_lot
from production.models import Lot, Return, Sale
from production.workshop.actions.cards import ensure_place
from tests import make
from tests.production.writing import fill, holds

DAY = "2026-03-02"


@pytest.fixture
def bottles(owner):
    return make.proven(
        "F1", grams="20", item=make.item("hand wash", kind="made", unit="piece")
    )


def on_hand():
    return Lot.objects.with_on_hand().get(code="F1").on_hand


def test_sell(desk, bottles):
    good = {
        "channel": "Saturday stall",
        "lines-0-lot": "F1",
        "lines-0-amount": "4",
        "lines-0-unit_price": "14.00",
        "on": DAY,
    }
    url = reverse("sale-sell")
    holds(desk, url, good, {"channel": ""}, "Say who bought it")
    assert Sale.objects.get().channel == "Saturday stall"
    assert on_hand() == 16


def test_a_sale_takes_from_where_the_lot_stands(desk, bottles):
    crate = ensure_place("crate")
    move_lot(lot=bottles, amount=Decimal(20), to=crate, on=make.DAY, by=make.owner())
    fill(
        desk,
        reverse("sale-sell"),
        channel="stall",
        lines__0__lot="F1",
        lines__0__amount="4",
        on=DAY,
    )
    assert bottles.movements.get(kind="sold").place == crate


def test_take_back(desk, bottles):
    line = make.sale(bottles, "4").lines.get()
    url = reverse("sale-take-back", args=[line.pk])
    good = {"amount": "2", "then": "restock", "on": DAY}
    holds(desk, url, good, {"amount": "5"}, "5 more is too many")
    assert Return.objects.get().then == "restock"
    assert on_hand() == 18
