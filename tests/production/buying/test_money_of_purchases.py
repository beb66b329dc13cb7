"""What is owed for purchases, when it was paid, what went back and what was credited.

A purchase of 1,000 g of oil for 10.00 with 2.00 of tax that comes back, and a carrier
who bills 3.00 with 0.60 of such tax: 15.60 are owed, the oil costs 13.00 (IAS 2.11: a
tax that the buyer gets back is no cost), and 2.60 are to come from the authority.
"""

from decimal import Decimal as D

import pytest
from django.urls import reverse

from costing.reads import book_behind
from costing.reads.on_date import on_day
from production.buying.actions.payments import pay_bill
from production.buying.actions.purchases import (
    NewExtra,
    NewLine,
    add_extra_cost,
    record_purchase,
)
from production.buying.actions.sending_back import note_credit, send_back
from production.buying.actions.suppliers import ensure_supplier
from production.buying.models import SentBack
from production.buying.reads.owed import (
    bill_payments,
    credited,
    open_purchases,
    owed_of,
    recoverable_taxes,
)
from production.correcting.actions.entries import correct_movement
from production.correcting.actions.putting_right import put_right
from production.correcting.actions.undoing import undo_deed
from production.models import Lot
from production.quantities.domain.refusal import Doubted
from production.record.reads.restated import OF
from production.stock.actions.opening_lots import NewLot
from tests import make
from tests.production.writing import holds

pytestmark = pytest.mark.django_db


def act(number):
    return {"on": make.day(number), "by": make.owner()}


@pytest.fixture
def oil(owner):
    line = NewLine(
        make.item(),
        [NewLot(D(1000), "OIL")],
        price=D(10),
        recoverable_tax=D(2),
    )
    freight = NewExtra("freight", D(3), recoverable_tax=D("0.6"))
    record_purchase(
        supplier=ensure_supplier("Northmere"),
        number="NM-1",
        lines=[line],
        extra_costs=[freight],
        invoiced=make.day(4),
        **act(2),
    )
    return Lot.objects.get(code="OIL")


def stands(lot):
    [now] = owed_of([lot.line.purchase])
    return now.owed, now.paid, now.left


def given_back(after, through):
    rows = recoverable_taxes(after and make.day(after), make.day(through))
    return sum(row.amount for row in rows)


def cost(lot):
    return book_behind(lot).valuation.lots[lot.code].unit_cost * 1000


def test_the_taxes_of_the_goods_and_of_their_freight(oil):
    assert stands(oil) == (D("15.6"), 0, D("15.6"))
    assert cost(oil) == 13
    # The freight was billed when it came, the goods on the 4th.
    assert (given_back(None, 3), given_back(3, 31), given_back(None, 31)) == (
        D("0.6"),
        2,
        D("2.6"),
    )


def test_the_tax_of_a_late_bill_is_put_right(oil):
    extra = add_extra_cost(
        purchase=oil.line.purchase,
        kind="freight",
        amount=D(1),
        recoverable_tax=D("0.2"),
        **act(9),
    )
    assert given_back(4, 31) == D("0.2")
    figures = {"recoverable_tax": D("0.25")}
    facts = {"of": OF.EXTRA_COST, "row": extra.pk, "reason": "misread"}
    put_right(figures=figures, **facts, **act(10))
    assert given_back(4, 31) == D("0.25")
    assert stands(oil)[0] == D("16.85")
    with make.refused("without"):
        put_right(figures={"recoverable_tax": D(-1)}, **facts, **act(10))


@pytest.mark.parametrize(
    ("tax", "recoverable", "cost_of_it"),
    [("0", "20", "105"), ("8.25", "0", "113.25")],
    ids=["C11", "C12"],
)
def test_what_a_purchase_costs_and_what_comes_back(owner, tax, recoverable, cost_of_it):
    """IAS 2.11: 100.00 less 5.00 of discount, duty 4.00, freight 6.00; a VAT of 20.00
    that is recovered is no cost, a sales tax of 8.25 that is not is one."""
    line = NewLine(
        make.item(),
        [NewLot(D(1000), "C")],
        price=D(100),
        tax=D(tax),
        recoverable_tax=D(recoverable),
    )
    extras = [("credit", "-5"), ("duty", "4"), ("freight", "6")]
    record_purchase(
        supplier=ensure_supplier("Northmere"),
        lines=[line],
        extra_costs=[NewExtra(kind, D(amount)) for kind, amount in extras],
        **act(2),
    )
    lot = Lot.objects.get(code="C")
    assert cost(lot) == D(cost_of_it)
    assert given_back(None, 31) == D(recoverable)


def test_of_a_foreign_bill_in_own_money(owner):
    line = NewLine(
        make.item(), [NewLot(D(1000), "FOR")], price=D(10), recoverable_tax=D(2)
    )
    record_purchase(
        supplier=ensure_supplier("Abroad"),
        lines=[line],
        extra_costs=[NewExtra("duty", D(1), currency="USD", recoverable_tax=D("0.2"))],
        currency="EUR",
        rate=D("1.1"),
        **act(2),
    )
    lot = Lot.objects.get(code="FOR")
    # 12 x 1.1 and 1.20 in own money.
    assert stands(lot)[0] == D("14.4")
    assert given_back(None, 31) == D("2.4")


def test_paid_in_parts_too_much_and_back(oil):
    paper = oil.line.purchase
    pay_bill(purchase=paper, amount=D(10), **act(9))
    assert [one.left for one in open_purchases()] == [D("5.6")]
    with pytest.raises(Doubted, match=r"5\.60 owed"):
        pay_bill(purchase=paper, amount=D(56), **act(10))
    last = pay_bill(purchase=paper, **act(10))
    assert open_purchases() == []
    assert [row.amount for row in bill_payments(make.day(9), make.day(31))] == [
        D("5.6")
    ]
    undo_deed(undone=last.deed, **act(11))
    pay_bill(purchase=paper, amount=D("5.3"), settles=True, **act(12))
    assert open_purchases() == []
    assert [one.left for one in open_purchases(make.day(11))] == [D("5.6")]


def test_a_purchase_without_a_price_is_open_and_not_owed_nothing(owner):
    make.lot(price=None, code="NEW")
    [one] = open_purchases()
    assert (one.owed, one.left) == (None, None)
    with make.refused("has no price"):
        pay_bill(purchase=one.purchase, **act(9))


def test_goods_that_go_back_leave_at_their_cost_and_are_credited(oil):
    """400 of the 1,000 g go back: 5.20 of the 13.00 they cost. 4.00 are credited and
    0.80 of tax: 10.80 are owed, and 1.20 of freight stays with the workshop."""
    sent = send_back(
        lot=oil,
        amount=D(400),
        credit=D(4),
        recoverable_tax=D("0.8"),
        note="CN-7",
        **act(8),
    )
    assert on_day(make.day(31)).totals.sent_back == 5_200_000_000
    assert on_day(make.day(31)).totals.losses == 0
    assert stands(oil) == (D("10.8"), 0, D("10.8"))
    assert given_back(4, 31) == D("-0.8")
    [one] = credited()
    assert (one.sent, one.amount, one.row.note) == (sent, 400, "CN-7")


def test_the_credit_comes_later_and_is_written_anew(oil):
    sent = send_back(lot=oil, amount=D(400), **act(8))
    assert credited()[0].row is None
    assert stands(oil)[0] == D("15.6")
    with make.refused("sent back on"):
        note_credit(sent=sent, credit=D(4), **act(7))
    note_credit(sent=sent, credit=D(4), **act(9))
    second = note_credit(sent=sent, credit=D(3), note="CN-8", **act(10))
    assert stands(oil)[0] == D("12.6")
    undo_deed(undone=second.deed, **act(11))
    assert stands(oil)[0] == D("11.6")
    with make.refused("without a minus"):
        note_credit(sent=sent, credit=D(-4), **act(11))


def test_a_wrong_amount_is_corrected_and_its_credit_stays(oil):
    sent = send_back(lot=oil, amount=D(400), credit=D(4), **act(8))
    correct_movement(
        movement=sent.movement, amount=D(300), reason="miscounted", **act(9)
    )
    [one] = credited()
    assert (one.amount, one.row.credit) == (300, 4)
    assert on_day(make.day(31)).totals.sent_back == 3_900_000_000


def test_it_is_taken_back_as_a_whole(oil):
    sent = send_back(lot=oil, amount=D(400), credit=D(4), **act(8))
    undo_deed(undone=sent.deed, **act(9))
    assert credited() == []
    assert stands(oil)[0] == D("15.6")
    assert make.on_hand(oil) == 1000
    with make.refused("taken back"):
        note_credit(sent=sent, credit=D(4), **act(9))


def test_only_what_was_bought_and_is_there_goes_back(oil):
    with make.refused("Only 1000 g"):
        send_back(lot=oil, amount=D(1001), **act(8))
    with make.refused("how much"):
        send_back(lot=oil, amount=D(0), **act(8))
    soap = make.filled("F1")
    with make.refused("made here"):
        send_back(lot=soap, amount=D(1), **act(8))
    with make.refused("what he credits"):
        send_back(lot=oil, amount=D(1), note="CN-1", **act(8))
    assert not SentBack.objects.exists()


def test_the_pages(desk, oil):
    paper = oil.line.purchase
    pay = reverse("purchase-pay", args=[paper.pk])
    good = {"amount": "10", "on": "2026-03-09"}
    holds(desk, pay, good, {"amount": "0"}, "Write how much was paid")
    send = reverse("lot-send-back", args=["OIL"])
    good = {"amount": "400 g", "on": "2026-03-09"}
    holds(desk, send, good, {"amount": "4 kg"}, "Only 1000 g")
    sent = SentBack.objects.get()
    note = reverse("purchase-credit", args=[sent.pk])
    good = {"credit": "4", "note": "CN-9", "on": "2026-03-10"}
    holds(desk, note, good, {"on": "2026-03-01"}, "sent back on")
    page = desk.get(paper.get_absolute_url()).content.decode()
    for said in ("Still owed", "1.60", "CN-9", "4.00"):
        assert said in page
    lot = desk.get(oil.get_absolute_url()).content.decode()
    assert send in lot
    assert note in lot
    act_page = desk.get(reverse("deed", args=[sent.deed_id])).content.decode()
    assert "OIL" in act_page
