"""The page for the accountant: period, files, codes, taxes, what is unpaid."""

import io
import re
from decimal import Decimal as D
from html import unescape
from urllib.parse import parse_qs, urlsplit

import pytest
from django.urls import reverse
from openpyxl import load_workbook

from costing.actions.accounts import write_codes
from costing.domain.accounts import ACCOUNTS
from costing.reads.accounts import codes_of
from production.selling.actions.sales import NewSaleLine, sell
from tests import make

pytestmark = pytest.mark.django_db
PERIOD = "?since=2026-03-01&to=2026-03-31&method=lots"


@pytest.fixture
def soap(owner):
    item = make.item("hand wash", kind="made", unit="piece")
    return make.proven("F1", grams="200", item=item)


def sold(soap, many=1):
    for number in range(many):
        line = NewSaleLine(soap, D(1), D(10))
        sell(
            lines=[line],
            channel="=HYPERLINK(1)",
            tax_rate=D("0.0825"),
            on=make.day(3 + number % 20),
            by=make.owner(),
        )


def test_it_says_who_decides_and_what_the_period_came_to(desk, soap):
    sold(soap, 2)
    page = desk.get(reverse("accountant") + PERIOD).content.decode()
    for said in ("a licensed adviser", "21.66", "1.66", "20.00"):
        assert said in page
    before = "?since=2026-02-01&to=2026-02-28&method=lots"
    assert "21.66" not in desk.get(reverse("accountant") + before).content.decode()


def test_an_odd_period_is_asked_about(desk):
    for odd in (
        "?to=soon",
        "?method=lifo",
        "?since=2026-04-01&to=2026-03-01",
    ):
        assert desk.get(reverse("accountant") + odd).status_code == 200
        answer = desk.get(reverse("accountant-file") + odd)
        assert answer["Content-Type"].startswith("text/html")
    assert "write the earlier day first" in answer.content.decode()


def test_the_books_and_this_page_hand_the_same_period_on(desk, soap):
    """The maker reads one period on both: by the same words, and also from the first
    day of the book, where the page would begin with the year by itself."""
    for asked in ("since=2026-03-01&to=2026-03-31&method=fifo", "since=&method=lots"):
        page = desk.get(f"{reverse('books')}?{asked}").content.decode()
        [link] = re.findall(rf'href="({reverse("accountant")}\?[^"]*)"', page)
        page = desk.get(unescape(link)).content.decode()
        [link] = re.findall(rf'href="({reverse("books")}\?[^"]*)"', page)
        told = parse_qs(urlsplit(unescape(link)).query, keep_blank_values=True)
        for name, value in parse_qs(asked, keep_blank_values=True).items():
            assert told[name] == value


def test_the_file_is_taken(desk, soap):
    sold(soap)
    answer = desk.get(reverse("accountant-file") + PERIOD)
    assert answer["Content-Disposition"].endswith('to-2026-03-31.xlsx"')
    book = load_workbook(io.BytesIO(answer.content))
    assert book.sheetnames[:2] == ["About", "Summary"]


def test_the_journal_asks_for_codes_and_then_is_taken(desk, soap):
    sold(soap)
    url = reverse("accountant-journal") + PERIOD
    page = desk.get(url).content.decode()
    assert "have no code yet" in page
    assert "sales tax to be handed on" in page
    codes = {account: f"4{n:03}" for n, account in enumerate(ACCOUNTS)}
    answer = desk.post(reverse("accountant-codes"), codes)
    assert answer.url == reverse("accountant")
    assert codes_of() == codes
    answer = desk.get(url)
    assert answer["Content-Type"].startswith("text/csv")
    assert codes["sales_tax"] in answer.content.decode()


@pytest.mark.parametrize("code", ["=1+1", "-3", "@a", "1,2", 'a"b', "1\n2"])
def test_an_odd_code_is_refused_and_nothing_typed_is_lost(desk, code):
    url = reverse("accountant-codes")
    answer = desk.post(url, {"sales": "4000", "bank": code})
    assert answer.status_code == 200
    assert "4000" in answer.content.decode()
    assert codes_of() == {}


def test_a_code_is_changed_and_taken_away(db):
    assert write_codes({"sales": "4000", "bank": "1000"})["sales"] == "4000"
    assert write_codes({"sales": "4001", "bank": " "}) == {"sales": "4001"}
    with make.refused("no account"):
        write_codes({"rent": "1"})


def test_what_is_unpaid_begins_with_what_it_comes_to(desk, soap):
    """Two at 10.00 and 0.825 of tax each, to the cent paper by paper."""
    sold(soap, 2)
    page = desk.get(reverse("accountant-unpaid")).content.decode()
    words = " ".join(re.sub(r"<[^>]*>", " ", page).split())
    assert "To come from customers 21.66" in words
    assert words.index("To come from") < words.index("Comes to")


def test_the_list_of_what_is_unpaid_asks_no_question_more_for_many(
    desk, soap, django_assert_max_num_queries
):
    def count(many):
        sold(soap, many)
        with django_assert_max_num_queries(40) as found:
            page = desk.get(reverse("accountant-unpaid")).content.decode()
        assert "10.83" in page
        return len(found)

    assert count(2) == count(23)


def test_the_page_asks_no_question_more_for_many(
    desk, soap, django_assert_max_num_queries
):
    def count(many):
        sold(soap, many)
        with django_assert_max_num_queries(60) as found:
            desk.get(reverse("accountant") + PERIOD)
        return len(found)

    assert count(2) == count(23)
