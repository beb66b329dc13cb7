"""What a deed asks of the database, from the kettle to the stall, without a recipe.

``BARE`` was counted when no guard stood on what is inside, nothing asked where grams
went, and the stock was summed up; each deed may ask at most twenty questions more,
however long the family behind its lots. What follows it into the kept values of its
lots and batch may ask some more.
"""

from decimal import Decimal as D

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from production.batches.actions.batches import run_batch
from production.batches.actions.new_batch import Output, Use
from production.lots.actions.lot_deeds import give
from production.release.actions.readings import note_measurement
from production.release.actions.statuses import hold_lot, release_lot
from production.selling.actions.sales import NewSaleLine, sell
from tests import make
from tests.make import act

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.skipif(connection.vendor != "sqlite", reason="counted on SQLite"),
]
MORE, KEPT = 20, 25
BARE = {
    "cook": 54,
    "note": 11,
    "release": 14,
    "dilution": 50,
    "finishing": 48,
    "filling": 48,
    "sell": 27,
    "give": 15,
    "hold": 10,
    "release held": 15,
}


@pytest.fixture
def shelf():
    water = make.item("water", category="water")
    make.owner()
    for name in ("paste", "diluted soap", "finished soap"):
        make.item(name, kind="made")
    make.item("hand wash", kind="made", unit="piece")
    scent = make.item("lime", category="fragrance")
    return {
        "oil": make.lot("OIL", grams="9000", item=make.item(category="oil")),
        "koh": make.koh(code="KOH", grams="3000"),
        "water": make.lot("WATER", grams="50000", item=water),
        "bottles": make.bottles("BOT"),
        "scent": make.lot("FRA", item=scent),
    }


def run(stage, makes, amount, *uses, on, net=None):
    return run_batch(
        stage=stage,
        uses=[Use(lot=lot, amount=D(grams)) for lot, grams in uses],
        output=Output(D(amount), make.item(makes), net_mass=net and D(net)),
        **act(on),
    )


def test_a_deed_asks_at_most_twenty_questions_more(shelf):
    spent = {}

    def counted(name, deed, **facts):
        with CaptureQueriesContext(connection) as asked:
            result = deed(**facts)
        spent[name] = len(asked)
        return result

    def batch(name, *facts, **more):
        return counted(name, lambda: run(name, *facts, **more))

    pot = ((shelf["oil"], 700), (shelf["koh"], 130), (shelf["water"], 400))
    paste = batch("cook", "paste", 1100, *pot, on=2)
    check = {"readings": [make.check()], **act(2)}
    counted("note", note_measurement, lot=paste, **check)
    counted("release", release_lot, lot=paste, **act(2))
    into = ((paste, 500), (shelf["water"], 1000))
    soap = batch("dilution", "diluted soap", 1500, *into, on=3)
    into = ((soap, 1400), (shelf["scent"], 10))
    soap = batch("finishing", "finished soap", 1410, *into, on=3)
    release_lot(lot=soap, **act(3))
    into = ((soap, 1000), (shelf["bottles"], 4))
    bottle = batch("filling", "hand wash", 4, *into, on=4, net=250)
    release_lot(lot=bottle, **act(4))
    lines = [NewSaleLine(bottle, D(1), D(9))]
    counted("sell", sell, lines=lines, channel="stall", **act(5))
    counted("give", give, lot=bottle, amount=D(1), why="gift", **act(5))
    counted("hold", hold_lot, lot=bottle, **act(6, reason="a leak"))
    counted("release held", release_lot, lot=bottle, **act(6, reason="new caps"))
    over = {name: (spent[name], least) for name, least in BARE.items()}
    assert all(now - least <= MORE + KEPT for now, least in over.values()), over
