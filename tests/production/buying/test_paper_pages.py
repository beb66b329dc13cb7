"""What was taken back on the pages: struck through, and counted nowhere.

A maker opens the list of purchases to add up what she owes, or a customer's page to see
what he has: a paper that was taken back is not among them. Where she looks for the one
she took back, she ticks the box; its own page says who took it back and why, and leads
to the one written in its place.
"""

import io
from decimal import Decimal

import pytest
from django.urls import reverse
from openpyxl import load_workbook

from production.buying.actions.arrivals import waiting_lots
from production.correcting.actions.entries import correct_movement
from production.models import Lot
from production.selling.actions.sales import take_back
from tests import make
from tests.make import act, day
from tests.production.buying.test_papers_taken_back import bought, entry_back, undone


def shown(desk, url, **query):
    return desk.get(url, query).content.decode()


def cells(desk, url, **query):
    raw = b"".join(desk.get(url, {"sheet": "xlsx", **query}).streaming_content)
    sheet = load_workbook(io.BytesIO(raw)).worksheets[0]
    return [str(cell) for row in sheet.iter_rows(values_only=True) for cell in row]


@pytest.fixture
def sold(desk):
    """A sale that stands, one that was taken back, and a return of either kind."""
    soap = make.filled("F1")
    good = make.sale(soap, "5", number="S-GOOD", on=day(3))
    wrong = make.sale(soap, "6", number="S-WRONG", on=day(3))
    undone(wrong.deed)
    for number in ("R-GOOD", "R-WRONG"):
        back = take_back(
            line=good.lines.get(),
            amount=Decimal(2),
            then="restock",
            number=number,
            **act(4),
        )
        if number == "R-WRONG":
            undone(back.deed)
    return good, wrong


class TestPurchases:
    @pytest.fixture(autouse=True)
    def papers(self, desk):
        self.wrong = bought("P-WRONG", "L1 L2")
        undone(self.wrong.deed)
        self.good = bought("P-GOOD", "L1 L2")

    def test_the_list_its_foot_and_its_sheet_leave_out_what_was_taken_back(self, desk):
        other = bought("P-OTHER", "L3")
        page = shown(desk, reverse("purchases"))
        assert "P-GOOD" in page
        assert "P-WRONG" not in page
        assert "P-WRONG" not in cells(desk, reverse("purchases"))
        foot = desk.get(reverse("purchases")).context["table"].in_all
        assert foot["lines"] == [(3, "")]
        assert other.lines.count() == 1

    def test_unless_asked_for(self, desk):
        page = shown(desk, reverse("purchases"), also="on")
        row = page[: page.index("P-WRONG")].rpartition("<tr")[2]
        assert row.startswith(' class="taken"')
        row = page[: page.index("P-GOOD")].rpartition("<tr")[2]
        assert not row.startswith(' class="taken"')
        told = cells(desk, reverse("purchases"), also="on")
        assert "P-WRONG" in told
        assert "taken back" in told

    def test_the_suppliers_page_and_the_list_of_suppliers_agree(self, desk):
        page = shown(desk, self.good.supplier.get_absolute_url())
        assert "P-WRONG" not in page
        table = desk.get(reverse("suppliers")).context["table"]
        assert [row.record.purchase_count for row in table.rows] == [1]

    def test_its_own_page_is_struck_through_and_says_why(self, desk):
        page = shown(desk, self.wrong.get_absolute_url())
        assert "<s>P-WRONG</s>" in page
        assert "Taken back on 2026-03-09 by ines: typed wrongly" in page
        assert page.count('<tr class="taken">') == 2
        assert reverse("line-price", args=[self.wrong.lines.first().pk]) not in page
        assert reverse("purchase-cost", args=[self.wrong.pk]) not in page

    def test_it_leads_to_the_one_that_bears_its_number_now(self, desk):
        undone(self.good.deed)
        again = bought("P-GOOD", "L1 L2")
        page = shown(desk, self.good.get_absolute_url())
        assert f'<a href="{again.get_absolute_url()}">P-GOOD</a>' in page

    def test_of_a_part_the_page_says_what_is_left(self, desk):
        first, second = (Lot.objects.get(code=code) for code in ("L1", "L2"))
        [entry] = first.movements.all()
        correct_movement(
            movement=entry, amount=Decimal(600), reason="misread", **act(9)
        )
        entry_back(second, "received")
        page = shown(desk, self.good.get_absolute_url())
        assert "600 <small>g</small></span> <small>left" in page
        assert page.count('<tr class="taken">') == 1
        table = desk.get(reverse("purchases")).context["table"]
        assert [row.record.line_count for row in table.rows] == [1]

    def test_what_was_taken_back_waits_for_no_look(self):
        waits = make.item("cocoa butter", needs_check=True)
        paper = bought("P-W", "W1", item=waits)
        entry_back(Lot.objects.get(code="W1"), "received")
        assert waiting_lots(paper) == []


class TestSales:
    def test_the_list_the_customer_and_the_sheet_leave_it_out(self, desk, sold):
        good, _ = sold
        for url in (reverse("sales"), good.customer.get_absolute_url()):
            assert "S-WRONG" not in shown(desk, url)
            assert "S-GOOD" in shown(desk, url)
            assert "S-WRONG" not in cells(desk, url)
            assert "S-WRONG" in shown(desk, url, also="on")
        table = desk.get(reverse("customers")).context["table"]
        assert [row.record.sale_count for row in table.rows] == [1]

    def test_its_own_page_is_struck_through(self, desk, sold):
        _, wrong = sold
        page = shown(desk, wrong.get_absolute_url())
        assert "<s>S-WRONG</s>" in page
        assert '<tr class="taken">' in page
        assert reverse("sale-take-back", args=[wrong.lines.get().pk]) not in page

    def test_a_return_taken_back_is_struck_through_and_not_counted(self, desk, sold):
        good, _ = sold
        page = shown(desk, good.get_absolute_url())
        assert "<s>R-WRONG: " in page
        assert "<s>R-GOOD: " not in page
        page = shown(desk, reverse("returns"))
        assert "R-GOOD" in page
        assert "R-WRONG" not in page
        answer = desk.get(reverse("returns"), {"also": "on"})
        assert "R-WRONG" in answer.content.decode()
        assert answer.context["table"].in_all == {"pieces": [(2, "piece")]}


@pytest.mark.parametrize("name", ["purchases", "sales", "returns", "suppliers"])
def test_a_list_asks_the_same_number_of_questions(
    desk, name, django_assert_max_num_queries
):
    url = reverse(name)

    def asked():
        with django_assert_max_num_queries(99) as counted:
            shown(desk, url, also="on")
        return len(counted)

    soap = make.filled("F1")
    sale = make.sale(soap, "5", on=day(3))
    facts = {"line": sale.lines.get(), "amount": Decimal(1), "then": "restock"}
    take_back(**facts, **act(4))
    before = asked()
    for number in range(3):
        bought(f"N{number}", f"N{number}", house=f"House {number}")
        make.sale(soap, "1", on=day(3), customer=f"C{number}")
        take_back(**facts, **act(4))
    assert asked() == before
