"""A workshop in which every page has something to show, and where each page is."""

from decimal import Decimal

from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import NoReverseMatch, get_resolver, reverse

from production.batches.actions.batches import start_batch, use_lots
from production.batches.actions.losing import name_loss
from production.batches.actions.new_batch import Use
from production.buying.actions.purchases import NewLine, record_purchase
from production.buying.actions.sending_back import send_back
from production.buying.actions.suppliers import ensure_supplier
from production.models import (
    Attachment,
    Deed,
    Loss,
    Measurement,
    Movement,
    PurchaseLine,
    ReferenceRuleOfThumb,
    SaleLine,
    Stage,
)
from production.recipes.actions.formulas import NewVersionLine, write_version
from production.recipes.actions.rules_of_thumb import write_rule
from production.release.actions.readings import note_measurement, note_step
from production.release.actions.statuses import hold_lot
from production.selling.actions.deposits import take_empties_back
from production.selling.actions.sales import NewSaleLine, sell, take_back
from production.stock.actions.opening_lots import NewLot, Reading
from production.workshop.actions.cards import add_vessel
from production.workshop.actions.rates import add_equipment
from production.yields.domain.hours_and_losses import NewLoss
from tests import make


def a_workshop():
    """One of everything, so that every page has something to show."""
    olive = make.item("olive oil", category="oil")
    oil = make.lot("OIL-1", grams="9000", expires=make.day(28), item=olive)
    lye = make.koh(grams="3000")
    version = write_version(
        name="Tideline",
        stage="cook",
        makes=make.item("paste", kind="made"),
        lines=[NewVersionLine(oil.item, Decimal(1))],
        superfat=Decimal("0.02"),
        water_per_alkali=Decimal("2.2"),
        on=make.DAY,
        by=make.owner(),
    )
    paste = make.batch("cook", uses=[(oil, "1000"), (lye, "200")], makes="paste")
    bottles = make.bottles()
    filled = make.batch(
        "filling",
        uses=[(paste, "500"), (bottles, "10")],
        makes="hand wash",
        unit="piece",
        amount="10",
        net_mass="50",
        code="FILL-1",
    )
    started = start_batch(stage="cook", version=version, on=make.DAY, by=make.owner())
    note_step(batch=started, text="melted", on=make.DAY, by=make.owner())
    sale = make.sale(filled, "3")
    back = take_back(
        line=sale.lines.get(),
        amount=Decimal(1),
        then="restock",
        on=make.DAY,
        by=make.owner(),
    )
    make.attachment(lot=filled)
    spill = [NewLoss("spill", Decimal(1))]
    name_loss(
        batch=filled.batch, losses=spill, on=make.DAY, by=make.owner(), reason="wet"
    )
    note_measurement(lot=paste, readings=[make.check()], on=make.DAY, by=make.owner())
    return {"filled": filled, "batch": started, "sale": sale, "back": back}


RULE = {
    "topic": "clear when diluted",
    "figure": "oleic",
    "low": Decimal("0.5"),
    "high": None,
    "says": "Clear.",
    "source": "invented",
}


def a_rule():
    return ReferenceRuleOfThumb.objects.create(
        key="invented", standing="recalled", **RULE
    )


def own_rule():
    return write_rule(**RULE, **make.act())


def sent_back():
    return send_back(lot=make.lot("BACK-1"), amount=Decimal(1), **make.act())


def empties():
    bottle = make.item("returned bottle", kind="packaging", unit="piece")
    return take_empties_back(
        item=bottle,
        amount=Decimal(2),
        deposit=Decimal(0),
        channel="stall",
        **make.act(),
    )


def names():
    """Every named page of the house with the kind of thing it needs."""
    patterns = get_resolver("production.urls").reverse_dict
    return sorted(name for name in patterns if isinstance(name, str))


def address(name, there):
    """The page's address, with something real in it."""
    head = name.split("-")[0]
    numbers = {
        "purchase": lambda: PurchaseLine.objects.first().purchase_id,
        "line": lambda: PurchaseLine.objects.first().pk,
        "supplier": lambda: PurchaseLine.objects.first().purchase.supplier_id,
        "formula": lambda: there["batch"].version.formula_id,
        "version": lambda: there["batch"].version_id,
        "sale": lambda: there["sale"].pk,
        "customer": lambda: there["sale"].customer_id,
        "item": lambda: there["filled"].item_id,
        "place": lambda: Movement.objects.first().place_id,
        "deed": lambda: Deed.objects.first().pk,
        "check": lambda: Measurement.objects.filter(passed=True).first().pk,
        "entry": lambda: Movement.objects.first().pk,
        "attachment": lambda: Attachment.objects.first().pk,
        "lot-code": lambda: there["filled"].pk,
        "batch-code": lambda: there["batch"].pk,
        "person": lambda: make.maker().pk,
        "vessel": lambda: add_vessel(name="kettle", volume=Decimal(24000)).pk,
        "rule": lambda: a_rule().pk,
        "loss": lambda: Loss.objects.first().pk,
        "return": lambda: there["back"].pk,
        "hint": lambda: own_rule().pk,
        "equipment": lambda: add_equipment(name="kettle", power=Decimal(2)).pk,
        "overhead": lambda: make.DAY.year,
        "purchase-credit": lambda: sent_back().pk,
    }
    of_stage = ("batch-run", "run-sheet", "run-sheet-pdf", "recipe-preview")
    if name in (*of_stage, "run-superfat"):
        return reverse(name, args=[Stage.COOK])
    if name in ("lot-code", "batch-code", "purchase-credit"):
        return reverse(name, args=[numbers[name]()])
    if name == "sale-take-back":
        return reverse(name, args=[SaleLine.objects.get().pk])
    if name == "lot-wash":
        return reverse(name, args=[empties().movement.lot.code])
    if head == "batch":
        args = [there["batch"].code]
    elif head == "lot":
        args = [there["filled"].code]
    elif head == "alkali":
        args = ["K1"]
    else:
        args = [numbers[head]()] if head in numbers else []
    try:
        return reverse(name)
    except NoReverseMatch:
        return reverse(name, args=args)


def add_more(there, number):
    """One more row on every list, and one more line on every paper."""
    by = {"on": make.DAY, "by": make.owner()}
    oil = make.lot(f"M{number}", item=make.item(f"oil {number}", category="oil"))
    make.lot(f"H{number}", expires=make.day(28))
    hold_lot(lot=make.lot(f"D{number}"), reason="cloudy", **by)
    ensure_supplier(f"Supplier {number}")
    soap = make.batch(
        "finishing",
        uses=[(oil, "10"), (there["spring"], "5")],
        makes="soap",
        amount="15",
        status="quarantine",
    )
    ph = Reading("pH", Decimal("9.5"))
    note_measurement(lot=there["spring"], readings=[ph], **by)
    note_measurement(batch=there["batch"], readings=[ph], **by)
    note_step(batch=there["batch"], text="stirred", **by)
    use_lots(batch=there["batch"], uses=[Use(lot=oil, amount=Decimal(1))], **by)
    bottled = make.batch(
        "filling", uses=[(oil, "1")], makes="hand wash", unit="piece", amount="10"
    )
    sale = make.sale(bottled, "2", customer=f"Customer {number}")
    take_back(line=sale.lines.get(), amount=Decimal(1), then="destroy", **by)
    start_batch(stage="cook", **by)
    line = NewVersionLine(oil.item, Decimal("0.2"))
    brine = make.item("brine", kind="made")
    write_version(name="Brine", stage="preparation", makes=brine, lines=[line], **by)
    return soap


def long_papers(there, rows):
    """A purchase and a sale with so many lines."""
    lines = [
        NewLine(
            item=make.item(f"salt {number}", category="salt"),
            lots=[NewLot(amount=Decimal(100))],
            price=Decimal(1),
        )
        for number in range(rows)
    ]
    bought = record_purchase(
        supplier=ensure_supplier("Pan & Sieve"),
        lines=lines,
        on=make.DAY,
        by=make.owner(),
    )
    lots = [line.lots.get() for line in bought.lines.all()]
    sold = sell(
        lines=[NewSaleLine(lot, Decimal(1)) for lot in lots],
        channel="stall",
        on=make.DAY,
        by=make.owner(),
    )
    return [bought.get_absolute_url(), sold.get_absolute_url()]


LISTS = [
    "start",
    "purchases",
    "items",
    "suppliers",
    "customers",
    "recipes",
    "batches",
    "lots",
    "filled",
    "sales",
    "returns",
    "places",
    "history",
    "batch",
    "formula",
    "version",
    "supplier",
    "customer",
    "item",
    "workshop",
]


def asked(desk, urls):
    """How many questions each page puts to the database."""
    found = []
    for url in urls:
        with CaptureQueriesContext(connection) as questions:
            assert desk.get(url).status_code == 200
        found.append(len(questions))
    return found


SORTED = [
    *("purchases", "items", "suppliers", "customers", "recipes", "batches", "lots"),
    *("filled", "sales", "returns", "places", "history"),
]
