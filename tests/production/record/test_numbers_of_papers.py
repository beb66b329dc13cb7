"""The number of a paper is one whatever its capitals and spaces, at every door; and
nothing unseen stands in it, nor in a name or mark that others gave.

What a maker expects: the invoice that was entered yesterday is not booked again today
because somebody typed it with a space more. Invoices are invented.
"""

from decimal import Decimal

import pytest

from production.buying.actions.purchases import NewLine, record_purchase
from production.buying.actions.suppliers import add_supplier, ensure_supplier
from production.buying.domain.purchase_sheet import lay_out
from production.buying.forms.purchase_sheet.invoices import PurchaseSheet
from production.correcting.actions.putting_right.deed import put_right
from production.exchange.actions.replaying import import_history
from production.lots.actions.places import add_place
from production.models import Purchase, Sale
from production.papers.files.sheets_in import read_sheet
from production.quantities.domain.invisible import refuse_name, refuse_number
from production.quantities.domain.refusal import Refused
from production.record.domain.text import write
from production.record.reads.any_case import same_number
from production.selling.actions.sales import NewSaleLine, sell
from production.stock.actions.opening_lots import NewLot
from production.stock.forms.fields import LotField
from production.stock.reads.lookup import find_lot
from tests import make
from tests.make import act
from tests.production.buying.sheet_cases import HEAD, OIL, csv

pytestmark = pytest.mark.django_db
SAME = ("Q 1", "Q\u00a01", "q 1", "Q  1", "Q1", " q1 ")
# By the general categories of Unicode Standard Annex #44 (from memory).
UNSEEN = ("Q\u200b1", "Q\u202e1", "Q\n1", "Q\r1", "Q\u20281", "Q\x071", "Q\u00ad1")


@pytest.fixture(autouse=True)
def cards():
    """What a refused deed would otherwise leave behind."""
    make.item()
    make.owner()
    for name in ("Northmere", "Southmere"):
        ensure_supplier(name)


def bought(number, supplier="Northmere", **facts):
    return record_purchase(
        supplier=ensure_supplier(supplier),
        number=number,
        lines=[
            NewLine(
                make.item(), [NewLot(amount=Decimal(100), **facts)], price=Decimal(2)
            )
        ],
        **act(3),
    )


def sold(number, lot):
    return sell(
        lines=[NewSaleLine(lot=lot, amount=Decimal(1), unit_price=Decimal(2))],
        number=number,
        channel="market",
        **act(5),
    )


@pytest.mark.parametrize("again", SAME)
def test_an_invoice_comes_once_of_a_supplier(again):
    bought("Q 1")
    with make.refused("has sent Q 1 already"):
        bought(again)
    assert bought(again, "Southmere").number == again


@pytest.mark.parametrize("again", SAME)
def test_a_sale_has_its_number_alone(again):
    lot = make.bottles()
    sold("Q 1", lot)
    with make.refused("There is a sale Q 1 already"):
        sold(again, lot)


def test_the_book_numbers_past_one_in_small_letters():
    lot = make.bottles()
    first = sold("", lot)
    mark, _, count = first.number.partition("-")
    sold(f"{mark.lower()}-{int(count) + 1}", lot)
    assert sold("", lot).number == f"{mark}-{int(count) + 2}"


def test_put_right_asks_as_well():
    bought("Q 1")
    other = bought("Q 2")
    for number, says in (("q1", "has sent Q 1 already"), ("Q\n2", "U+000A")):
        with make.refused(says):
            put_right(
                of="purchase",
                row=other.pk,
                figures={"number": number},
                **act(4, reason="misread"),
            )


@pytest.mark.parametrize("number", UNSEEN)
def test_nothing_unseen_stands_in_a_number(number):
    lot = make.bottles()
    for deed in (lambda: bought(number), lambda: sold(number, lot)):
        with make.refused("cannot be seen", f"U+{ord(number[1]):04X}"):
            deed()
    assert not Sale.objects.exists()


def test_a_sheet_says_it_by_its_cell():
    bought("Q 1", supplier=OIL[HEAD.index("Supplier")])
    at = HEAD.index("Invoice no.")

    def faults(number):
        row = [*OIL]
        row[at] = number
        sheet = PurchaseSheet(lay_out(read_sheet(csv(tuple(row)))))
        return " ".join(str(fault) for fault in sheet.faults)

    assert "is in the book already" in faults("q1")
    assert "U+200B" in faults("Q\u200b2")


def test_a_history_file_asks_as_well():
    event = {
        "type": "purchase",
        "date": "2026-03-02",
        "number": "Q\u202e1",
        "supplier": "Northmere",
        "lines": [
            {
                "item": "rapeseed oil",
                "unit": "g",
                "price": "2",
                "lots": [{"lot": "L-1", "amount": "100"}],
            }
        ],
    }
    with make.refused("U+202E"):
        import_history(text=write("USD", [event]))
    assert not Purchase.objects.exists()


@pytest.mark.parametrize("text", UNSEEN)
def test_names_and_marks_of_others(text):
    with make.refused("supplier's lot"):
        bought("Q 1", supplier_lot=text)
    for add in (add_supplier, add_place):
        with make.refused("cannot be seen"):
            add(name=text)


@pytest.mark.parametrize(
    "text", ["M\u00fcller & Co", "a \u2014 b", "Q\u00a01", "\u6cb9"]
)
def test_other_names_are_left_alone(text):
    refuse_name("name", text)
    refuse_number(text)


def test_what_is_the_same_number():
    assert {same_number(text) for text in SAME} == {"q1"}
    assert same_number("Q-1") != same_number("Q1")


def test_a_deed_takes_no_lot_by_an_invoice():
    lot = bought("..", supplier_lot="THEIRS").lines.get().lots.get()
    assert find_lot("..") == lot
    for text in (lot.code, lot.code.lower(), "theirs"):
        assert LotField().clean(text) == lot
    with pytest.raises(Exception, match=f"Write the code of the lot.*{lot.code}"):
        LotField().clean("..")
    with pytest.raises(Refused, match="paper with that number"):
        find_lot("..", invoices=False)
