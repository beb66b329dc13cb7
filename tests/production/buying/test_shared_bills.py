"""How an extra cost falls on the lines of its invoice, in the maker's own words.

Freight by weight goes by what the book knows of each line: its weight as shipped, else
its grams, else its pieces where one weighs so much. What nobody knows is asked for, and
is not put in by another measure: the maker chooses that herself. A bill in euros on an
invoice in dollars goes by its own rate.
"""

import io
import json
from decimal import Decimal as D

import pytest
from django.core.management import call_command
from django.urls import reverse

from costing.reads import whole_book
from production.buying.actions.purchases import (
    NewExtra,
    NewLine,
    add_extra_cost,
    price_line,
    record_purchase,
)
from production.buying.actions.suppliers import ensure_supplier
from production.buying.reads.bills import bills
from production.exchange.actions.replaying import import_history
from production.exchange.reads import history_events
from production.models import Purchase
from production.record.domain.text import write
from production.stock.actions.opening_lots import NewLot
from production.workshop.actions.cards import set_up_workshop
from tests import make

pytestmark = pytest.mark.django_db
NANO = 10**9


def oil(code, grams, price, **facts):
    kind = make.item("rapeseed oil", category="oil")
    return NewLine(kind, [NewLot(D(grams), code)], price=D(price), **facts)


def bottles(code, pieces, price, each=None, **facts):
    kind = make.item("bottle 250", kind="packaging", unit="piece")
    new = NewLot(D(pieces), code, net_mass=None if each is None else D(each))
    return NewLine(kind, [new], price=None if price is None else D(price), **facts)


def bought(*lines, extras=(), **facts):
    return record_purchase(
        supplier=ensure_supplier("Northmere Oils"),
        number="NO-1",
        lines=lines,
        extra_costs=extras,
        **make.act(),
        **facts,
    )


def freight(amount, by="weight", **facts):
    return NewExtra("freight", D(amount), by, **facts)


def shares(purchase, place=0):
    return bills([purchase.pk])[purchase.pk].extras[place].shares


def costs(*codes):
    nodes = {node.code: node for node in whole_book().lots}
    return [
        D(sum(nodes[code].bought.values())) / NANO if nodes[code].known else None
        for code in codes
    ]


def test_grams_stand_in_where_nobody_typed_a_weight_as_shipped():
    """10.00 over 3,000 g of oil and 1,000 g as shipped: 7.50 and 2.50, whatever their
    prices of 90 and 10 say (by value it would be 9.00 and 1.00)."""
    purchase = bought(
        oil("A", "3000", "90"),
        oil("B", "900", "10", shipping_weight=D(1000)),
        extras=[freight("10")],
    )
    assert shares(purchase) == (D("7.50"), D("2.50"))
    assert costs("A", "B") == [D("97.50"), D("12.50")]


def test_pieces_of_a_known_weight_weigh_what_they_weigh():
    """40 bottles of 25 g are 1,000 g beside 3,000 g of oil."""
    purchase = bought(
        oil("A", "3000", "90"),
        bottles("B", "40", "10", each="25"),
        extras=[freight("10")],
    )
    assert shares(purchase) == (D("7.50"), D("2.50"))


def test_pieces_of_which_nobody_knows_the_weight_are_asked_about(desk):
    purchase = bought(
        oil("A", "3000", "90"), bottles("B", "40", "10"), extras=[freight("10")]
    )
    says = "freight of 10 is shared by weight, and no weight is known of line 2"
    assert shares(purchase) is None
    assert costs("A", "B") == [None, None]
    for url in (
        purchase.get_absolute_url(),
        reverse("lot-cost", args=["A"]),
        reverse("book-value"),
    ):
        page = desk.get(url).content.decode()
        assert says in page
        assert "Write its weight as shipped, or share the cost by value." in page
    assert says in desk.get(reverse("start")).content.decode()
    told = io.StringIO()
    call_command("cost", "B", stdout=told)
    assert says in told.getvalue()
    told = io.StringIO()
    call_command("stock", "--json", stdout=told)
    report = json.loads(told.getvalue())
    assert says in report["asks"][0]
    assert report["missing"] == ["A", "B"]


def test_by_value_is_the_makers_own_choice():
    purchase = bought(
        oil("A", "3000", "90"),
        bottles("B", "40", "10"),
        extras=[freight("10", "value")],
    )
    assert shares(purchase) == (D("9.00"), D("1.00"))


def test_a_line_that_carries_it_alone_is_not_asked_its_weight():
    purchase = bought(bottles("B", "40", "10"), extras=[freight("10")])
    assert costs("B") == [D("20")]
    assert shares(purchase) == (D("10.00"),)


def test_by_value_waits_for_a_price_and_says_for_which(desk):
    purchase = bought(
        oil("A", "3000", "90"),
        bottles("B", "40", None),
        extras=[freight("10", "value")],
    )
    page = desk.get(purchase.get_absolute_url()).content.decode()
    assert "there is no price of line 2 (bottle 250)" in page
    assert costs("A") == [None]
    price_line(line=purchase.lines.get(position=2), price=D(10), **make.act())
    assert costs("A", "B") == [D("99.00"), D("11.00")]


def test_goods_that_all_cost_nothing_share_nothing_by_value(desk):
    purchase = bought(
        oil("A", "3000", "0"), oil("B", "1000", "0"), extras=[freight("10", "value")]
    )
    page = desk.get(purchase.get_absolute_url()).content.decode()
    assert shares(purchase) is None
    assert "its lines come to nothing in that. Share it in another way." in page


def test_the_page_says_what_each_line_carries_and_by_which_weight(desk):
    purchase = bought(
        oil("A", "3000", "90"),
        oil("B", "900", "10", shipping_weight=D(1000)),
        extras=[freight("10")],
    )
    page = " ".join(desk.get(purchase.get_absolute_url()).content.decode().split())
    for says in ("7.50", "2.50", "its grams", "as shipped", "97.50", "12.50"):
        assert says in page


class TestForeignBills:
    def test_freight_in_euros_goes_by_its_own_rate(self):
        """20.00 EUR at 1.10 is 22.00: by 3,000 and 1,000 g it is 16.50 and 5.50."""
        purchase = bought(
            oil("A", "3000", "90"),
            oil("B", "1000", "10"),
            extras=[freight("20", currency="eur", rate=D("1.10"))],
        )
        assert purchase.extra_costs.get().currency == "EUR"
        assert shares(purchase) == (D("16.50"), D("5.50"))

    def test_of_its_own_it_has_the_rate_of_the_invoice(self):
        """100 and 10 GBP at 1.25 are 125.00 and 12.50."""
        bought(
            oil("A", "3000", "100"),
            extras=[freight("10")],
            currency="GBP",
            rate=D("1.25"),
        )
        assert costs("A") == [D("137.50")]

    def test_freight_in_our_own_money_on_a_foreign_invoice_is_what_it_is(self):
        bought(
            oil("A", "3000", "100"),
            extras=[freight("10", currency="USD")],
            currency="GBP",
            rate=D("1.25"),
        )
        assert costs("A") == [D("135.00")]

    def test_a_late_bill_has_them_too(self):
        purchase = bought(oil("A", "3000", "100"))
        add_extra_cost(
            purchase=purchase,
            kind="duty",
            amount=D(20),
            currency="EUR",
            rate=D("1.10"),
            **make.act(5),
        )
        assert costs("A") == [D("122.00")]

    @pytest.mark.parametrize(
        ("facts", "says"),
        [
            ({"currency": "EUR"}, "Freight is in EUR: write its rate"),
            ({"currency": "EUR", "rate": D(0)}, "above zero"),
            ({"currency": "USD", "rate": D("1.1")}, "USD is your own currency"),
            ({"currency": "Euro"}, "three letters"),
        ],
    )
    def test_what_a_bill_cannot_be_is_refused(self, facts, says):
        line, house = oil("A", "3000", "90"), ensure_supplier("Northmere Oils")
        with make.refused(says):
            record_purchase(
                supplier=house,
                lines=[line],
                extra_costs=[freight("20", **facts)],
                **make.act(),
            )

    def test_an_invoice_in_another_currency_wants_its_rate(self):
        line, house = oil("A", "3000", "90"), ensure_supplier("Northmere Oils")
        with make.refused("The invoice is in GBP: write its rate"):
            record_purchase(supplier=house, lines=[line], currency="GBP", **make.act())

    def test_the_page_shows_each_in_its_own_money(self, desk):
        set_up_workshop(name="Ridgeway Soap", currency="USD")
        purchase = bought(
            oil("A", "3000", "100"),
            extras=[freight("20", currency="EUR", rate=D("1.10"))],
            currency="GBP",
            rate=D("1.25"),
        )
        page = desk.get(purchase.get_absolute_url()).content.decode()
        words = " ".join(page.replace("<small>", "").replace("</small>", "").split())
        for says in ("100.00 GBP", "147.00 USD", "20.00 EUR", "22.00 USD", "1.1 USD"):
            assert says in words

    def test_they_go_out_in_the_file_and_come_in_again(self):
        purchase = bought(
            oil("A", "3000", "100"),
            extras=[freight("20", currency="EUR", rate=D("1.1"))],
            currency="GBP",
            rate=D("1.25"),
        )
        add_extra_cost(
            purchase=purchase, kind="duty", amount=D(5), currency="USD", **make.act(3)
        )
        text = write("USD", history_events())
        # 125.00, 22.00 of freight and 5.00 of duty.
        assert bills([purchase.pk])[purchase.pk].costs() == [D("152.00")]
        assert '"currency": "EUR", "rate": "1.1"' in text
        assert '"currency": "GBP", "rate": "1.25"' in text
        assert '"currency": "USD", "rate": "1"' in text


def test_a_file_of_before_counts_extras_at_the_rate_of_the_invoice():
    """12.40 at 1.0837 is 13.4379 on goods of 100.00, which are 108.37."""
    import_history(
        text=write(
            "USD",
            [
                {
                    "type": "purchase",
                    "date": "2026-03-02",
                    "number": "PO-1",
                    "supplier": "Northmere Oils",
                    "extra_costs": [
                        {"kind": "freight", "amount": "12.4", "by": "value"}
                    ],
                    "lines": [
                        {
                            "lot": "A",
                            "item": "rapeseed oil",
                            "kind": "material",
                            "category": "oil",
                            "amount": "1000",
                            "unit": "g",
                            "price": "100",
                        }
                    ],
                    "rate": "1.0837",
                }
            ],
        )
    )
    assert Purchase.objects.get().currency == ""
    assert costs("A") == [D("121.8079")]


def test_the_form_takes_a_currency_for_the_bill(desk):
    purchase = bought(oil("A", "3000", "100"))
    url = reverse("purchase-cost", args=[purchase.pk])
    sent = {
        "key": "k1",
        "on": "2026-03-05",
        "kind": "freight",
        "amount": "20",
        "by_basis": "weight",
        "currency": "eur",
    }
    refused = desk.post(url, sent).content.decode()
    assert "Freight is in EUR: write its rate" in refused
    desk.post(url, sent | {"rate": "1.1"})
    row = purchase.extra_costs.get()
    assert (row.currency, row.rate) == ("EUR", D("1.1"))
