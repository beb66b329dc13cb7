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
from production.buying.actions.suppliers import ensure_supplier
from production.correcting.actions.entries import correct_movement
from production.correcting.actions.putting_right import deed as deeds
from production.correcting.actions.undoing import undo_deed
from production.models import Movement, Purchase, Restated, Sale, SaleLine, Work
from production.record.reads.restated import history_of
from production.selling.actions.customers import ensure_customer
from production.selling.actions.sales import take_back
from tests import make
from tests.make import act, day
from tests.once import built_once, for_a_while
from tests.production.correcting.typed_workshop import (
    FINDS,
    RIGHT,
    facts,
    kind_of,
    line,
    put_right,
    typed,
)

pytestmark = pytest.mark.django_db
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
