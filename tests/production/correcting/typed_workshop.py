"""A small workshop as it was typed, rightly or not, and any figure of it put right."""

from datetime import date
from decimal import Decimal as D

from costing.reads import whole_book
from production.batches.actions.batches import (
    make_lot,
    run_batch,
    start_batch,
    use_lots,
)
from production.batches.actions.new_batch import Output, Use
from production.buying.actions.purchases import (
    NewExtra,
    NewLine,
    open_stock,
    record_purchase,
)
from production.buying.actions.suppliers import ensure_supplier
from production.contents.reads.contents import contents_of
from production.correcting.actions.putting_right import deed as deeds
from production.exchange.reads import history_events
from production.fitness.reads.rows import load
from production.lots.actions.lot_deeds import give
from production.models import (
    Batch,
    ExtraCost,
    Given,
    Loss,
    Lot,
    Measurement,
    Movement,
    Purchase,
    Sale,
    SaleLine,
    Work,
)
from production.release.actions.readings import note_measurement
from production.release.actions.statuses import release_lot
from production.selling.actions.customers import ensure_customer
from production.selling.actions.sales import NewSaleLine, sell
from production.stock.actions.opening_lots import NewLot, Reading
from production.tracing.reads.trace import trace
from production.yields.domain.hours_and_losses import NewLoss, NewWork
from production.yields.reads import batch_balance
from tests import make
from tests.make import act, day

RIGHT = {
    "number": "F-7",
    "supplier": "Northmere Oils",
    "ordered": day(1),
    "invoiced": day(3),
    "rate": D("1.25"),
    "weight": D("4500"),
    "extra": D("18"),
    "kind": "freight",
    "by": "weight",
    "opening": D("40"),
    "net": D("60"),
    "supplier_lot": "NM-1",
    "expires": date(2027, 5, 1),
    "item": "safflower oil",
    "sv": D("190"),
    "expected": D("1150"),
    "started": day(3),
    "hours": D("2.5"),
    "hour": D("18"),
    "spill": D("20"),
    "spilled": "spill",
    "freight_rate": D("1.2"),
    "price": D("9.50"),
    "sold": day(9),
    "customer": "The Tin Lantern",
    "channel": "stall",
    "sale": "S-9",
    "recipient": "Ada",
}


def oil(name, sv):
    return make.item(name, category="oil", oil=None)


def typed(**wrong):
    """A small workshop as it was typed: bought, cooked, filled, sold, given away."""
    told = {**RIGHT, **wrong}
    make.owner()
    for name in ("sunflower oil", "safflower oil"):
        oil(name, told["sv"])
    value = Reading("saponification value", told["sv"], "stated")
    new = NewLot(
        D(4000),
        code="OIL",
        supplier_lot=told["supplier_lot"],
        expires=told["expires"],
        readings=(value,),
    )
    second = NewLot(D(2000), code="OIL2")
    water = make.item("distilled water", category="water")
    record_purchase(
        supplier=ensure_supplier(told["supplier"]),
        number=told["number"],
        ordered=told["ordered"],
        invoiced=told["invoiced"],
        rate=told["rate"],
        lines=[
            NewLine(
                make.item(told["item"]), [new], D(50), shipping_weight=told["weight"]
            ),
            NewLine(water, [second], D(10), shipping_weight=D(2100)),
        ],
        extra_costs=[
            NewExtra(told["kind"], told["extra"], told["by"], "", told["freight_rate"])
        ],
        **act(2),
    )
    lye = make.item("potassium hydroxide", category="alkali", alkali="KOH")
    purity = Reading("purity", D("0.9"), "stated")
    koh = NewLot(D(5000), code="KOH", readings=(purity,))
    open_stock(item=lye, lot=koh, value=told["opening"], **act(2))
    bottle = make.item("bottle 250", kind="packaging", unit="piece")
    bottles = NewLot(D(50), code="BOT", net_mass=told["net"])
    open_stock(item=bottle, lot=bottles, value=D(25), **act(2))
    cooked(told)
    return sold(told)


def cooked(told):
    start = {"on": told["started"], "by": make.owner()}
    batch = start_batch(stage="cook", code="C-1", expected=told["expected"], **start)
    amounts = (("OIL", 700), ("KOH", 145), ("OIL2", 400))
    uses = [Use(D(n), lot=Lot.objects.get(code=code)) for code, n in amounts]
    use_lots(batch=batch, uses=uses, **act(3))
    paste = make_lot(
        batch=batch,
        output=Output(D(1150), make.item("paste", kind="made"), code="PASTE"),
        losses=[NewLoss(told["spilled"], told["spill"])],
        work=[NewWork("labour", told["hours"], told["hour"])],
        **act(4),
    )
    note_measurement(lot=paste, readings=[make.check()], **act(5))
    release_lot(lot=paste, **act(5))
    run_batch(
        stage="filling",
        code="F-1",
        uses=[
            Use(D(1000), lot=paste),
            Use(D(4), lot=Lot.objects.get(code="BOT")),
        ],
        output=Output(
            D(4),
            make.item("soap 250", kind="made", unit="piece"),
            code="SOAP",
            net_mass=D(250),
        ),
        **act(6),
    )


def sold(told):
    soap = Lot.objects.get(code="SOAP")
    release_lot(lot=soap, **act(7))
    sell(
        lines=[NewSaleLine(soap, D(2), told["price"])],
        number=told["sale"],
        customer=ensure_customer(told["customer"]),
        channel=told["channel"],
        on=told["sold"],
        by=make.owner(),
    )
    give(lot=soap, amount=D(1), why="gift", recipient=told["recipient"], **act(10))


def facts():
    """What the book says now: money, grams, contents, people, and the history file."""
    book = whole_book()
    lots = {lot.code: lot for lot in Lot.objects.select_related("item", "batch")}
    soap, paste = lots["SOAP"], lots["PASTE"]
    held = contents_of(paste)
    told = [
        event
        for event in history_events()
        if event["type"] not in ("party", "item", "workshop")
    ]
    return {
        "totals": book.valuation.totals,
        "costs": {code: book.valuation.lots[code].unit_cost for code in lots},
        "trace": trace(soap),
        "superfat": held.superfat,
        "balance": batch_balance(Batch.objects.get(code="F-1")),
        "loss": batch_balance(Batch.objects.get(code="C-1")),
        "file": told,
        "fit": load([soap]).family(day(28)).open_points("SOAP") != (),
    }


def put_right(of, row, reason="mistyped", written=12, **figures):
    return deeds.put_right(
        of=of, row=row.pk, figures=figures, **act(written, reason=reason)
    )


def line():
    return Lot.objects.get(code="OIL").line


FINDS = {
    "purchase": lambda: Purchase.objects.get(),
    "line": line,
    "extra cost": lambda: ExtraCost.objects.get(),
    "lot": lambda: Lot.objects.get(code="OIL"),
    "bottles": lambda: Lot.objects.get(code="BOT"),
    "batch": lambda: Batch.objects.get(code="C-1"),
    "sale": lambda: Sale.objects.get(),
    "sale line": lambda: SaleLine.objects.get(),
    "entry": lambda: Movement.objects.get(kind="opening", lot__code="KOH"),
    "given": lambda: Given.objects.get(),
    "reading": lambda: Measurement.objects.get(what="saponification value"),
    "purity": lambda: Measurement.objects.get(what="purity"),
    "work": lambda: Work.objects.get(),
    "loss": lambda: Loss.objects.get(),
}


def kind_of(of):
    return {"bottles": "lot", "purity": "reading"}.get(of, of)
