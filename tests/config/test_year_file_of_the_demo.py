"""The year-end file of the demo against a count of its papers by hand.

The count reads the history file with nothing of the house: prices, bills, hours and
sales are added up as they stand there.
"""

import io
import json
import shutil
from collections import Counter
from datetime import date
from decimal import Decimal as D
from pathlib import Path

import pytest
from openpyxl import load_workbook

from config.demo.people import let_in
from config.demo.year import told, write
from costing.domain.accounts import ACCOUNTS
from costing.files.journal import journal_csv
from costing.files.year_file import year_file_xlsx
from costing.reads.books import books_between
from costing.reads.journal import journal_between
from costing.reads.year_file import year_file
from production.record.reads.clock import told_by
from tests.costing.test_journal import in_beancount
from tests.costing.test_year_file import Reader, recalculated

pytestmark = pytest.mark.django_db
YEAR = Path(__file__).parents[2] / "fixtures" / "demo" / "year.json"
END = date(2026, 11, 29)


def by_hand():
    """What the papers of the year come to, event by event."""
    events = json.loads(YEAR.read_text("utf-8"))["events"]
    found, prices = Counter(), {}
    for event in events:
        kind = event["type"]
        if kind == "purchase":
            for number, line in enumerate(event["lines"], start=1):
                prices[event["number"], number] = D(line.get("price") or 0)
            extras = event.get("extra_costs", ())
            found["purchases"] += sum(D(one["amount"]) for one in extras)
        elif kind == "price":
            prices[event["purchase"], event["line"]] = D(event["price"])
        elif kind == "extra_cost":
            found["purchases"] += D(event["amount"])
        elif kind == "tap":
            found["purchases"] += D(event["value"])
        elif kind == "sale":
            for number, line in enumerate(event["lines"], start=1):
                price = D(line["unit_price"])
                prices["sale", event["number"], number] = price
                found["sales"] += price * D(line["amount"])
        elif kind == "return":
            price = prices["sale", event["sale"], event["line"]]
            found["sales"] -= price * D(event["amount"])
        for hours in event.get("work", ()):
            found["work"] += D(hours["hours"]) * D(hours["rate"])
    bought = (price for key, price in prices.items() if key[0] != "sale")
    found["purchases"] += sum(bought)
    return found


def test_the_file_the_journal_and_the_papers_agree(tmp_path):
    with told_by(END):
        _, events = told()
        write(events, let_in("only for this test"))
        raw = year_file_xlsx(year_file(None, END))
        figures = books_between(None, END).figures
        entries = journal_between(None, END)
    hand, summary = by_hand(), Reader(raw).summary()
    for words, name in (
        ("sales, net of sales tax", "sales"),
        ("making cost", "work"),
        ("purchases, less what was sent back", "purchases"),
    ):
        # Water that a recipe drew from the tap has no paper: it is fractions of a cent.
        assert abs(summary[words][0] - hand[name]) < D("0.01"), words
        assert summary[words][2] == 0
    assert summary["check: all of it agrees, to the cent"][0] == 0
    codes = {account: f"{n}" for n, account in enumerate(ACCOUNTS, start=1000)}
    assert in_beancount(journal_csv(entries, codes)) == []
    booked = Counter()
    for entry in entries:
        assert entry.debits == entry.credits
        booked.update(entry.lines)
    assert booked["sales"] == -hand["sales"] * 100
    assert D(booked["cost_of_goods_sold"]) / 100 == round(
        D(figures.cost_of_goods_sold) / 10**9, 2
    )
    if shutil.which("soffice"):
        again = recalculated(raw, tmp_path)["Summary"]
        for row in again.iter_rows(min_row=5, values_only=True):
            if row[0]:
                assert row[1] == pytest.approx(float(summary[row[0]][0]), abs=1e-7)
    assert load_workbook(io.BytesIO(raw)).sheetnames[0] == "About"
