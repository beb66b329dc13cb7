"""What a sale and a list cost when the book has grown: what is kept does not grow."""

from datetime import date
from decimal import Decimal

from django.conf import settings
from django.db import connection
from django.test import Client

from production.models import Lot, Movement
from production.selling.actions.sales import NewSaleLine, sell
from production.stock.actions.stock_rows import remake_stock
from tests import make
from tests.benchmarks.ledger import fill
from tests.benchmarks.timing import seconds

SHORT, LONG = 10, 10_000
FAMILIES = 167  # some 2,000 lots


def rows():
    """A sale into a short and a long lot; the list of lots against a sum of entries."""
    short, long = _lot(SHORT), _lot(LONG)
    fill(FAMILIES)
    lots = f"{Lot.objects.count():,} lots"
    bare = seconds(_sums, 5)
    return [
        (
            f"a sale from a lot of {LONG:,} entries",
            seconds(lambda: _sell(long), 15),
            f"the same, {SHORT} entries",
            seconds(lambda: _sell(short), 15),
            1.5,
        ),
        (
            f"on hand of {lots}",
            seconds(lambda: list(Lot.objects.with_on_hand().values_list("on_hand")), 5),
            "the bare sum of their entries",
            bare,
            2.0,
        ),
        (f"the list of {lots}, a page", seconds(_page(), 5), "the same", bare, 25),
    ]


def _lot(entries):
    """One lot with so many entries, all but the first of them small and gone."""
    lot = make.lot(grams="1000000", on=date(2026, 1, 5))
    place = lot.movements.get().place
    crumbs = [
        Movement(
            deed=lot.deed,
            lot=lot,
            place=place,
            amount=Decimal(-1),
            kind="discarded",
            on=date(2026, 1, 6),
        )
        for _ in range(entries - 1)
    ]
    Movement.objects.bulk_create(crumbs, batch_size=500)
    remake_stock()
    return lot


def _sell(lot):
    sell(
        lines=[NewSaleLine(lot, Decimal(1), Decimal(9))],
        channel="stall",
        on=date(2026, 3, 2),
        by=make.owner(),
    )


def _sums():
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT lot_id, SUM(amount) FROM production_movement GROUP BY lot_id"
        )
        return cursor.fetchall()


def _page():
    settings.ALLOWED_HOSTS = ["testserver"]
    client = Client()
    client.force_login(make.owner())
    return lambda: client.get("/lots/")
