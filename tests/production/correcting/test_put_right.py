"""Every typed figure can be put right later.

What a maker expects: a figure that was mistyped and put right leaves the book as if it
had been typed right at once: costs, who has it, contents, what the history file tells.
Putting it right again counts again, and taking that back gives the figure before. What
stood stays readable. Nothing gets fit by it, and nothing is done without a reason.
"""

from datetime import date
from decimal import Decimal as D

import pytest

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
from production.correcting.actions.entries import correct_movement
from production.correcting.actions.putting_right import deed as deeds
from production.correcting.actions.undoing import undo_deed
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
    Restated,
    Sale,
    SaleLine,
    Work,
)
from production.record.reads.restated import history_of
from production.release.actions.readings import note_measurement
from production.release.actions.statuses import release_lot
from production.selling.actions.customers import ensure_customer
from production.selling.actions.sales import NewSaleLine, sell, take_back
from production.stock.actions.opening_lots import NewLot, Reading
from production.tracing.reads.trace import trace
from production.yields.domain.hours_and_losses import NewLoss, NewWork
from production.yields.reads import batch_balance
from tests import make
from tests.make import act, day
from tests.once import built_once, for_a_while

pytestmark = pytest.mark.django_db

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
# (what is put right, its figure, the key of what was typed, the wrong one)
CASES = [
    ("purchase", "number", "number", "F-1"),
    ("purchase", "supplier", "supplier", "Southmere Oils"),
    ("purchase", "ordered", "ordered", day(2)),
    ("purchase", "invoiced", "invoiced", None),
    ("purchase", "rate", "rate", D(1)),
    ("line", "shipping_weight", "weight", D(450)),
    ("extra cost", "amount", "extra", D(180)),
    ("extra cost", "kind", "kind", "duty"),
    ("extra cost", "by", "by", "value"),
    ("extra cost", "rate", "freight_rate", D(12)),
    ("extra cost", "rate", "freight_rate", None),
    ("entry", "value", "opening", D(4)),
    ("entry", "value", "opening", None),
    ("bottles", "net_mass", "net", None),
    ("bottles", "net_mass", "net", D(6)),
    ("lot", "supplier_lot", "supplier_lot", "NN-1"),
    ("lot", "expires", "expires", date(2028, 5, 1)),
    ("lot", "item", "item", "sunflower oil"),
    ("batch", "expected", "expected", D(1154)),
    ("batch", "expected", "expected", None),
    ("batch", "started", "started", day(2)),
    ("work", "hours", "hours", D(25)),
    ("work", "rate", "hour", D("1.8")),
    ("loss", "amount", "spill", D(2)),
    ("reading", "value", "sv", D("189.5")),
    ("sale line", "unit_price", "price", D(95)),
    ("sale", "number", "sale", "S-6"),
    ("sale", "customer", "customer", "The Tin Lamp"),
    ("sale", "channel", "channel", "shop"),
    ("sale", "on", "sold", day(8)),
    ("given", "recipient", "recipient", "Ida"),
]
IDS = [f"{of} {figure} {str(wrong)[:12]}" for of, figure, _, wrong in CASES]


def really(figure):
    """The right figure as the deed takes it."""
    value = RIGHT[figure]
    if figure == "supplier":
        return ensure_supplier(value)
    if figure == "customer":
        return ensure_customer(value)
    return make.item(value) if figure == "item" else value


def kind_of(of):
    return {"bottles": "lot", "purity": "reading"}.get(of, of)


def undone(deed):
    undo_deed(undone=deed, **act(14, reason="it was right"))


@pytest.fixture(scope="module")
def right(django_db_setup, django_db_blocker):
    """The facts of the book without a mistake; the book itself is empty again."""
    with for_a_while(django_db_blocker):
        typed()
        found = facts()
    return found


@pytest.mark.parametrize(("of", "figure", "key", "wrong"), CASES, ids=IDS)
def test_mistyped_and_put_right_is_as_typed_right(right, of, figure, key, wrong):
    typed(**{key: wrong})
    assert facts() != right
    put_right(kind_of(of), FINDS[of](), **{figure: really(key)})
    assert facts() == right


book = built_once(typed)


@pytest.mark.usefixtures("book")
class TestPutRight:
    @pytest.mark.parametrize(("of", "figure", "key", "wrong"), CASES, ids=IDS)
    def test_the_latest_counts_and_taken_back_gives_the_one_before(
        self, right, of, figure, key, wrong
    ):
        typed_wrong = wrong
        if figure in ("supplier", "customer") and wrong:
            ensure = {"supplier": ensure_supplier}.get(figure, ensure_customer)
            typed_wrong = ensure(wrong)
        if figure == "item":
            typed_wrong = make.item(wrong)
        first = put_right(kind_of(of), FINDS[of](), **{figure: typed_wrong})
        mistaken = facts()
        assert mistaken != right
        again = put_right(kind_of(of), FINDS[of](), written=13, **{figure: really(key)})
        assert facts() == right
        undone(again)
        assert facts() == mistaken
        undone(first)
        assert facts() == right

    def test_a_price_is_put_right_with_its_tax(self, right):
        put_right("line", line(), price=D(500), tax=D(3))
        assert facts()["costs"] != right["costs"]
        put_right("line", line(), price=D(50), tax=D(0))
        for name in ("totals", "costs", "trace"):
            assert facts()[name] == right[name]

    def test_goods_that_arrived_on_another_day(self, right):
        purchase = Purchase.objects.get()
        put_right("purchase", purchase, arrived=day(1))
        assert Purchase.objects.get().arrived == day(1)
        entries = Movement.objects.standing().filter(kind="received")
        assert {row.on for row in entries} == {day(1)}
        assert facts()["costs"] == right["costs"]
        with make.refused("short at workshop"):
            put_right("purchase", purchase, arrived=day(5))

    def test_a_sale_is_not_put_before_its_goods_nor_after_their_return(self):
        with make.refused():
            put_right("sale", Sale.objects.get(), on=day(5))
        row = SaleLine.objects.get()
        take_back(line=row, amount=D(1), then="destroy", **act(10))
        with make.refused("came back on"):
            put_right("sale", Sale.objects.get(), on=day(11))

    def test_what_stood_stays_readable_and_a_reason_is_asked(self):
        with make.refused("Write the reason"):
            put_right("purchase", Purchase.objects.get(), reason="", rate=D(2))
        with make.refused("stands so already"):
            put_right("purchase", Purchase.objects.get(), rate=D("1.25"))
        put_right(
            "purchase",
            Purchase.objects.get(),
            supplier=ensure_supplier("Elsewhere"),
        )
        [told] = history_of("purchase", Purchase.objects.get().pk)
        assert told.says == "supplier: Elsewhere (before: Northmere Oils)"

    def test_a_maker_does_not_put_right_what_an_owner_wrote(self):
        with make.refused("written by an owner"):
            deeds.put_right(
                of="purchase",
                row=Purchase.objects.get().pk,
                figures={"rate": D(2)},
                **act(12, by=make.maker(), reason="mistyped"),
            )

    def test_a_day_to_come_is_refused(self):
        with make.refused("lies after"):
            put_right("sale", Sale.objects.get(), on=day(20))

    def test_a_figure_sent_twice_is_written_once(self):
        make.sent_twice(
            deeds.put_right,
            of="work",
            row=Work.objects.get().pk,
            figures={"hours": D(3)},
            **act(12, reason="mistyped"),
        )
        assert Restated.objects.filter(of="work").count() == 1

    def test_a_corrected_entry_keeps_the_value_that_was_put_right(self):
        entry = FINDS["entry"]()
        put_right("entry", entry, value=D(80))
        correct_movement(movement=entry, amount=D(4000), **act(13, reason="miscounted"))
        cost = whole_book().valuation.lots["KOH"].unit_cost
        assert cost == D(80) / D(4000)

    @pytest.mark.parametrize(
        ("of", "figure", "value", "says"),
        [
            ("purchase", "rate", D(0), "above zero"),
            ("purchase", "number", " ", "number of the invoice"),
            ("line", "shipping_weight", D(-1), "not below zero"),
            ("extra cost", "amount", D(-5), "credit"),
            ("entry", "value", D(-1), "worth less than nothing"),
            ("bottles", "net_mass", D(0), "above zero"),
            ("lot", "net_mass", D(5), "only a piece"),
            ("batch", "expected", D(0), "more than nothing"),
            ("batch", "started", day(4), "entry of"),
            ("work", "hours", D(0), "above zero"),
            ("loss", "amount", D(0), "more than nothing"),
            ("sale line", "unit_price", D(-1), "not below zero"),
            ("reading", "value", D(-1), "below nothing"),
            ("purity", "value", D("1.2"), "more than the whole"),
            ("purity", "value", D("0.98"), "Read it again"),
        ],
    )
    def test_a_figure_that_cannot_be_is_refused(self, of, figure, value, says):
        with make.refused(says):
            put_right(kind_of(of), FINDS[of](), **{figure: value})
