"""The way from the kettle to a bottle that is for sale, a deed at a time.

Amounts are invented. 700 g of rapeseed oil at its published 187 mg KOH per g asks for
130.9 g of pure KOH, 145.4 g of flakes at 90 %.
"""

from decimal import Decimal as D

from production.batches.actions.batches import run_batch
from production.batches.actions.new_batch import Output, Use
from production.models import ReferenceOil
from production.release.actions.readings import note_measurement
from production.release.actions.statuses import release_lot
from production.selling.actions import sales as deeds
from production.selling.actions.sales import NewSaleLine
from tests import make
from tests.make import act
from tests.once import remembered

ALKALI, OIL = "140", "700"


@remembered
def set_out():
    """Oil with its published value, flakes, water, salt, bottles."""
    oil = make.item("rapeseed oil", category="oil")
    oil.oil = ReferenceOil.objects.get(key="rapeseed-oil-low-erucic")
    oil.save(update_fields=["oil"])
    for name in ("paste", "soap", "lye", "brine", "diluted soap", "finished soap"):
        make.item(name, kind="made")
    make.item("hand wash", kind="made", unit="piece")
    return {
        "oil": make.lot("OIL", grams="9000", item=oil),
        "koh": make.koh(code="KOH", grams="3000"),
        "water": make.lot(
            "WATER", grams="50000", item=make.item("water", category="water")
        ),
        "bottles": make.bottles("BOT", pieces="500"),
    }


def run(stage, makes, amount, uses, *, by=None, on=2, unit="g", net=None, **facts):
    """A batch as a page posts it; what is asked for as its status does not count."""
    made = make.item(makes, kind="made", unit=unit)
    return run_batch(
        stage=stage,
        uses=[Use(lot=lot, amount=D(grams)) for lot, grams in uses],
        output=Output(D(amount), made, net_mass=net and D(net)),
        **act(on, by=by, **{"reason": "", **facts}),
    )


def cook(shelf, alkali=ALKALI, **facts):
    uses = [(shelf["oil"], OIL), (shelf["koh"], alkali), (shelf["water"], "400")]
    return run("cook", "paste", "1100", uses, **facts)


def note(lot, passed=True, on=2, **facts):
    note_measurement(lot=lot, readings=[make.check(passed)], **act(on, **facts))


def release(lot, on=2, **facts):
    return release_lot(lot=lot, **act(on, **facts))


def dilute(shelf, paste, on=3, **facts):
    uses = [(paste, "500"), (shelf["water"], "1000")]
    return run("dilution", "diluted soap", "1500", uses, on=on, **facts)


def fill(shelf, soap, on=4, **facts):
    uses = [(soap, "1000"), (shelf["bottles"], "4")]
    return run(
        "filling", "hand wash", "4", uses, on=on, unit="piece", net="250", **facts
    )


def sell(lot, on=5, by=None, **facts):
    line = NewSaleLine(lot, D(1), D("9.00"))
    return deeds.sell(lines=[line], channel="stall", **act(on, by=by), **facts)


def bottled(shelf):
    """An honest way from the kettle to a bottle that is for sale."""
    paste = cook(shelf)
    note(paste)
    release(paste)
    bottle = fill(shelf, dilute(shelf, paste))
    release(bottle, 4)
    return paste, bottle
