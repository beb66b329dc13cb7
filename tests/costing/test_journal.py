"""The journal: balanced to the cent, and the same as the books.

Double entry: the debits of an entry are its credits (L. Pacioli, Summa de arithmetica,
1494, Tractatus XI; any textbook). A general double-entry library reads it, too.
"""

import csv
import io
from collections import Counter
from datetime import date
from decimal import Decimal as D

import pytest
from beancount import loader
from hypothesis import given
from hypothesis import strategies as st

from costing.domain.accounts import ACCOUNTS
from costing.domain.journal import (
    CENT,
    ROUNDING,
    Booked,
    Posting,
    journal,
    lacking,
    rounded,
    sums,
    to_the_cent,
)
from costing.files.journal import journal_csv

DAY = date(2026, 3, 2)
NAMES = ("stock", "payable", "sold", "lost")


@st.composite
def postings(draw):
    """Entries that balance in nano, on days of two months."""
    found = []
    for number in range(draw(st.integers(0, 12))):
        some = draw(st.lists(st.sampled_from(NAMES), min_size=2, max_size=4))
        lines = Counter()
        for account in some[1:]:
            nano = draw(st.integers(-(10**11), 10**11))
            lines[account] += nano
            lines[some[0]] -= nano
        on = date(2026, draw(st.integers(3, 4)), draw(st.integers(1, 28)))
        found.append(Posting(on, f"paper {number % 5}", "as drawn", dict(lines)))
    return found


def by_months(rows):
    ends = (date(2026, 3, 31), date(2026, 4, 30))
    return [(end, [row for row in rows if row.on.month == end.month]) for end in ends]


@given(postings())
def test_each_entry_balances_and_each_account_is_what_the_books_say(rows):
    booked = journal(by_months(rows))
    for one in booked:
        assert one.debits == one.credits > 0
    for month in (3, 4):
        told = sums(row for row in rows if row.on.month <= month)
        found = Counter()
        for one in booked:
            if one.on.month <= month:
                found.update(one.lines)
        for account, nano in told.items():
            assert found[account] == to_the_cent(nano)
        # What is over is named: at most half a cent for each account.
        assert abs(found[ROUNDING]) <= len(NAMES) / 2


@given(postings())
def test_no_figure_of_a_document_is_off_by_a_cent(rows):
    exact = {}
    for row in rows:
        lines = exact.setdefault((row.on, row.document), Counter())
        lines.update(row.lines)
    for one in journal(by_months(rows)):
        if one.document.startswith("month"):
            assert all(abs(cents) <= len(NAMES) for cents in one.lines.values())
            continue
        for account, cents in one.lines.items():
            assert abs(cents * CENT - exact[one.on, one.document][account]) < CENT


def test_three_thirds_of_a_cent():
    """Three entries of a third of a cent each: one of them gets the cent."""
    third, last = CENT // 3, CENT - 2 * (CENT // 3)
    cells = {}
    for row, nano in enumerate((third, third, last)):
        cells |= {(row, "a"): nano, (row, "b"): -nano}
    found = rounded(cells)
    assert sum(found[row, "a"] for row in range(3)) == 1
    assert sum(found[row, "b"] for row in range(3)) == -1
    assert {found[row, "a"] + found[row, "b"] for row in range(3)} == {0}


def test_a_journal_of_a_half_cent_says_where_it_went():
    """0.005 on each side: half up both become a cent, away from nothing."""
    row = Posting(DAY, "paper", "half", {"stock": CENT // 2, "payable": -CENT // 2})
    [entry] = journal([(date(2026, 3, 31), [row])])
    assert entry.lines == {"stock": 1, "payable": -1}


CODES = {account: f"{number}" for number, account in enumerate(ACCOUNTS, start=1000)}
ENTRY = Booked(
    DAY, "purchase =1+1", "@SUM(A1), from\nNorthmere", {"payable": -1234, "tap": 1234}
)


def test_its_file():
    raw = journal_csv([ENTRY], CODES)
    rows = list(csv.reader(io.StringIO(raw.decode())))
    assert rows[0] == ["date", "document", "text", "account", "debit", "credit"]
    said = ["2026-03-02", "purchase =1+1", "'@SUM(A1), from Northmere"]
    assert rows[1] == [*said, CODES["payable"], "", "12.34"]
    assert rows[2] == [*said, CODES["tap"], "12.34", ""]


def test_a_code_that_is_missing_is_named():
    codes = {name: code for name, code in CODES.items() if name != "tap"}
    assert lacking([ENTRY], codes) == ["tap"]
    with pytest.raises(Exception, match="water from the tap"):
        journal_csv([ENTRY], codes)


def in_beancount(raw):
    """The file as another program takes it in: one account for each code."""
    rows = list(csv.DictReader(io.StringIO(raw.decode())))
    codes = sorted({row["account"] for row in rows})
    text = [f"2000-01-01 open Assets:A{code} USD" for code in codes]
    entry = None
    for row in rows:
        if (row["date"], row["document"]) != entry:
            entry = row["date"], row["document"]
            text.append(f'{row["date"]} * "{row["document"]}"'.replace("\\", ""))
        amount = D(row["debit"] or 0) - D(row["credit"] or 0)
        text.append(f"  Assets:A{row['account']}  {amount} USD")
    _, errors, _ = loader.load_string("\n".join(text))
    return errors


@given(postings())
def test_another_ledger_finds_it_balanced(rows):
    errors = in_beancount(
        journal_csv(journal(by_months(rows)), dict.fromkeys((*NAMES, ROUNDING), "1"))
    )
    assert errors == []
