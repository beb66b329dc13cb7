"""Statements since their second version: the books of the month, and a year in one.

The book is that of ``test_statements``: in January 1,000 g of oil for 10.00, of which
400 g are sold for 3,600.00 (400 at 9.00) and 100 g spilt; in February a freight bill of
2.00. The two texts in ``statements_v1`` are those months as the first version of the
statement wrote them, before the books stood in it.
"""

import json
from datetime import date
from decimal import Decimal as D
from pathlib import Path

import pytest
from django.core.management import call_command
from django.urls import reverse

from costing.domain.rollup import NANO
from costing.domain.statement import read, write
from costing.domain.statement_run import run_of
from costing.domain.statement_words import STOOD, paragraphs
from costing.models import BooksTerms
from costing.reads.books import books_between, books_on
from costing.reads.statements import kept, run, statement_of
from production.exchange import domain as file
from production.exchange.actions.replaying import import_history
from production.lots.actions.lot_deeds import give
from production.models import Closing
from production.quantities.domain.refusal import Refused
from production.selling.actions.customers import ensure_customer
from production.selling.actions.sales import NewSaleLine, sell
from tests import make
from tests.costing.test_statements import (
    FEBRUARY,
    JANUARY,
    MARCH,
    at,
    bill,
    close,
    closed,
    nano,
    oil,
)

__all__ = ["closed", "oil"]
pytestmark = pytest.mark.django_db
FIRST_VERSION = Path(__file__).parent / "statements_v1"
FEBRUARY_1 = date(2026, 2, 1)


def first_version(day):
    return (FIRST_VERSION / f"{day}.json").read_text(encoding="utf-8")


def lines(statement):
    return {
        (part.title, line.words): line.figure
        for part in paragraphs(statement)
        for line in part.lines
    }


@pytest.mark.parametrize("day", [JANUARY, FEBRUARY])
def test_a_text_of_the_first_version_is_read_and_written_as_it_was(day):
    text = first_version(day)
    found = read(text)
    assert (found.version, write(found)) == (1, text)


def test_a_statement_of_the_first_version_prints_as_it_did():
    """Its paragraphs, word by word."""
    said = lines(read(first_version(FEBRUARY)))
    assert list(dict.fromkeys(title for title, _ in said)) == [
        "At the end of 2026-01-31",
        "Came",
        "Changes to closed months",
        "At the end of 2026-02-28",
        "Sold and lost",
        "Both sides",
    ]
    assert said["Came", "work on batches"] == "0.00"
    assert said["Changes to closed months", "of it lost"] == "0.20"
    assert said["Both sides", "value at the start, what came, changes"] == "7.00"


@pytest.fixture
def of_an_earlier_house(oil):
    """The same book, whose two months an earlier house closed."""
    bill(oil)
    closings = [
        {
            "type": "closing",
            "date": f"2026-{day.month + 1:02}-03",
            "through": str(day),
            "statement": first_version(day),
        }
        for day in (JANUARY, FEBRUARY)
    ]
    import_history(text=file.write("USD", closings), by=make.owner())
    assert Closing.objects.count() == 2
    return oil


def test_the_books_go_on_from_a_statement_of_the_first_version(of_an_earlier_house):
    """February's late bill is in its statement: 0.80 sold, 0.20 lost, 1.00 in stock."""
    told = books_between(FEBRUARY_1, FEBRUARY).figures
    assert (told.late.stock, told.late.sold, told.late.lost) == (
        nano(1),
        nano("0.8"),
        nano("0.2"),
    )
    assert (told.opening, told.purchases, told.stock) == (nano(5), nano(2), nano(6))
    whole = books_on(MARCH).figures
    assert whole.difference == told.difference == 0
    assert whole.losses["discarded"] == nano(1)


def test_a_bill_after_them_stands_in_the_first_open_month(of_an_earlier_house):
    """3.00 more in March, on 1,000 g: 1.50 in stock, 1.20 sold, 0.30 lost."""
    bill(of_an_earlier_house, amount="3", month=3, day=4)
    late = books_between(date(2026, 3, 1), MARCH).figures.late
    assert (late.stock, late.sold, late.lost) == (nano("1.5"), nano("1.2"), nano("0.3"))
    close(MARCH, 4, 2)
    assert kept(MARCH).statement.version == 2
    assert books_between(date(2026, 3, 1), MARCH).figures.late == late


def test_a_day_amid_a_closed_month_has_figures_until_something_is_learnt(closed):
    """No figure was frozen of the 20th, and what is learnt later is not of that day."""
    day = date(2026, 1, 20)
    before = books_on(day).figures
    assert before.difference == 0
    bill(closed)
    with make.refused("2026-01-20 is within", "Choose 2026-01-31"):
        books_on(day)
    with make.refused("2026-01-20 is within"):
        books_between(date(2026, 1, 21), JANUARY)
    assert books_between(FEBRUARY_1, FEBRUARY).figures.late.stock == nano(1)


def test_a_month_says_revenue_margin_and_each_loss(closed):
    said = lines(kept(JANUARY).statement)
    assert said["Sold", "revenue"] == "3 600.00".replace(" ", "\u202f")
    assert said["Sold", "margin"] == "3 596.00".replace(" ", "\u202f")
    assert said["Sold and lost", "discarded"] == "1.00"
    assert said["Came", "purchases"] == "10.00"


def test_own_use_stands_as_drawings(oil):
    give(lot=oil, amount=D(100), why="own use", recipient="Ines", **at(1, 26))
    close(JANUARY, 2, 3)
    frozen = kept(JANUARY)
    assert lines(frozen.statement)["Sold and lost", "own use, as drawings"] == "1.00"
    BooksTerms(sole_trader=False).save()
    assert books_on(JANUARY).figures.drawings == nano(1)
    assert kept(JANUARY).row.text == frozen.row.text
    february = books_between(FEBRUARY_1, FEBRUARY).figures
    assert (february.late.lost, february.difference) == (0, 0)


def test_late_bills_stand_under_their_own_name(closed):
    bill(closed)
    said = lines(statement_of(FEBRUARY))
    title = "Changes to closed months: late bills, inside what came"
    assert said[title, STOOD] == "1.00"
    assert said[title, "sold by then"] == "0.80"
    assert said[title, "lost by then"] == "0.20"
    assert said["Came", "purchases"] == "2.00"
    assert said["Sold and lost", "late bills, sold"] == "0.80"


def test_a_sale_without_a_price_leaves_the_revenue_unknown(oil):
    line = NewSaleLine(oil, D(10))
    who = ensure_customer("Ada")
    sell(lines=[line], customer=who, number="S-7", **at(1, 28))
    close(JANUARY, 2, 3)
    frozen = kept(JANUARY)
    told = json.loads(frozen.row.text)
    assert told["unpriced_sales"] == [["S-7 line 1", "2026-01-28"]]
    assert lines(frozen.statement)["Sold", "revenue"] == "unknown"
    assert books_on(JANUARY).revenue is None
    assert books_between(FEBRUARY_1, FEBRUARY).revenue == 0


def months(closed):
    """January to March: the late bill in February, 250 g sold in March."""
    bill(closed)
    close(FEBRUARY, 3, 2)
    make.sale(closed, "250", on=date(2026, 3, 5))
    close(MARCH, 4, 2)


def test_a_run_of_months_is_what_they_come_to(closed):
    """2.00 of freight came late to January: 4.80 and 3.00 sold, 1.20 lost, 3.00 are
    left."""
    months(closed)
    found = run(JANUARY, MARCH).statement
    assert found.adds_up
    books = found.books
    assert books.purchases == nano(12)
    assert books.cost_of_goods_sold + books.late.sold == nano("7.8")
    assert books.losses["discarded"] + books.late.lost == nano("1.2")
    assert books.stock == nano(3)
    assert books.revenue == nano(650 * 9)
    assert books == books_on(MARCH).figures
    late = run(FEBRUARY, MARCH).statement.books
    assert late == books_between(FEBRUARY_1, MARCH).figures
    assert read(write(found)) == found


def test_a_run_prints_the_same_whatever_comes(closed, desk):
    months(closed)
    args = ["2026-01-31", "2026-03-31"]
    urls = [reverse(f"statement-run-{kind}", args=args) for kind in ("file", "pdf")]
    before = [desk.get(url).content for url in urls]
    bill(closed, amount="7", month=4, day=3)
    closed.item.name = "another name"
    closed.item.save()
    assert [desk.get(url).content for url in urls] == before


def test_the_year_is_on_the_page_of_statements(closed, desk):
    months(closed)
    page = desk.get(reverse("statements")).content.decode()
    link = reverse("statement-run", args=["2026-01-31", "2026-03-31"])
    assert f'<a href="{link}">2026</a>' in page
    answer = desk.get(
        reverse("statements"), {"first": "2026-03-31", "last": "2026-02-28"}
    )
    assert answer.url == reverse("statement-run", args=["2026-02-28", "2026-03-31"])
    page = desk.get(link).content.decode()
    assert "added up" in page
    assert "late bills, sold" in page
    assert (
        desk.get(reverse("statement-run", args=["2026-01-30", "x"])).status_code == 404
    )
    odd = desk.get(reverse("statements"), {"first": "x"}).content.decode()
    assert "Choose the first and the last month." in odd


def test_a_run_of_months_that_do_not_follow_each_other_is_refused(closed):
    months(closed)
    january, march = kept(JANUARY).statement, kept(MARCH).statement
    with pytest.raises(Refused, match="follow each other"):
        run_of([january, march])
    with pytest.raises(Refused, match="at least one"):
        run_of([])


def test_a_run_over_the_first_version_has_no_books(of_an_earlier_house):
    close(MARCH, 4, 2)
    found = run(JANUARY, MARCH).statement
    assert (found.version, found.adds_up) == (1, True)
    assert found.sold + found.changes.sold == nano("4.8")
    assert read(write(found)).to_date == found.to_date


def test_the_command_prints_the_books_of_a_closed_month(closed, capsys):
    call_command("statement", "2026-01-31")
    said = capsys.readouterr().out
    assert "margin" in said
    told = json.loads(kept(JANUARY).row.text)
    assert told["books"]["revenue"] == f"{D(3600):.9f}"
    assert set(told["books_to_date"]) == {"lots"}


def test_the_formula_of_the_card_is_frozen_with_the_month(oil):
    """First in, first out is on the card. A bill that comes later leaves January alone
    by the card, too."""
    make.lot("OIL-2", grams="1000", price="20", on=date(2026, 1, 6))
    BooksTerms(material="fifo").save()
    close(JANUARY, 2, 3)
    told = json.loads(kept(JANUARY).row.text)
    assert set(told["books_to_date"]) == {"lots", "card"}
    before = books_on(JANUARY, "card").figures
    bill(oil)
    assert books_on(JANUARY, "card").figures == before
    late = books_between(FEBRUARY_1, FEBRUARY, "card").figures.late
    assert late.stock + late.sold + late.lost == 2 * NANO
