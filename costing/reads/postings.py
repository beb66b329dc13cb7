"""What each entry of the book does on the accounts, valued as of a day."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any

from costing.domain.books import GIVEN
from costing.domain.journal import Posting
from costing.domain.rollup import NANO
from costing.reads.figures import terms
from costing.reads.on_date import OnDay
from production.models import EmptyBack, Given, Lot, Movement
from production.record.reads.restated import as_now
from production.yields.reads import standing_work

KIND = Movement.Kind
LOST = {KIND.DISCARDED: "discarded", KIND.COUNTED: "counted"}


@dataclass(frozen=True, slots=True)
class _Of:
    """What an entry is of: its papers by name."""

    on: date
    document: str
    text: str

    def posting(self, debit: str, credit: str, nano: int) -> Posting:
        lines: dict[str, int] = defaultdict(int)
        lines[debit] += nano
        lines[credit] -= nano
        return Posting(self.on, self.document, self.text, dict(lines))


class _Accounts:
    """On which account the value of a lot or a batch stands; a trial that nobody
    accepted is development, and a batch that was lost whole an abnormal loss."""

    def __init__(self, view: OnDay) -> None:
        self.valuation = view.book.valuation
        self.lots = {node.code: node for node in view.book.lots}
        self.batches = {node.code: node for node in view.book.batches}
        rows = Lot.objects.values_list("code", "item__kind", "item__name")
        self.of = {code: (kind, name) for code, kind, name in rows}
        empties = EmptyBack.objects.values_list("movement__lot__code", flat=True)
        self.empties = set(empties)
        self.sole = terms().sole_trader

    def lot(self, code: str) -> str:
        if self.valuation.lots[code].trial:
            return "development"
        return f"stock_{self.of[code][0]}"

    def batch(self, code: str) -> str:
        node = self.batches[code]
        if node.trial:
            return "development"
        return "abnormal" if node.lost else "work_in_progress"

    def given(self, why: str) -> str:
        name = GIVEN.get(why, "given")
        return "drawings" if name == "own_use" and self.sole else name


def value_postings(view: OnDay) -> list[Posting]:
    """Every entry of the book through the day, at its value on that day; each balances.

    They add up to the totals of the day: all that came on the one side, where it is on
    the other.
    """
    accounts = _Accounts(view)
    found = list(_of_entries(view, accounts))
    found += _of_work(view, accounts)
    return [one for one in found if any(one.lines.values())]


def _of_entries(view: OnDay, accounts: _Accounts) -> Iterator[Posting]:
    rows = Movement.objects.standing().filter(on__lte=view.day).in_book_order()
    whys = dict(Given.objects.values_list("movement_id", "why"))
    begun: set[str] = set()
    for row in rows.values(
        *("pk", "kind", "on", "root_id", "deed_id", "lot__code", "batch__code"),
        *("lot__line__purchase__number", "lot__line__purchase__supplier__name"),
        *("sale_line__sale__number", "lot__line_id"),
    ):
        code = row["lot__code"]
        if row["kind"] in Movement.STARTS:
            if code not in begun:
                begun.add(code)
                yield from _start(accounts, row, code)
            continue
        parts = accounts.valuation.lots[code].taken.get(row["pk"])
        nano = sum(parts.values()) if parts else 0
        if not nano:
            continue
        to = _where(accounts, row, whys)
        here = accounts.lot(code)
        if here == "development" and row["kind"] in (*LOST, KIND.GIVEN):
            continue
        yield _paper(accounts, row).posting(to, here, nano)


def _where(accounts: _Accounts, row: Any, whys: dict[int, str]) -> str:
    kind = row["kind"]
    if kind == KIND.USED:
        return accounts.batch(row["batch__code"])
    if kind in (KIND.SOLD, KIND.RETURNED):
        return "cost_of_goods_sold"
    if kind == KIND.SENT_BACK:
        return "supplier_credits"
    if kind == KIND.GIVEN:
        return accounts.given(whys.get(row["root_id"] or row["pk"], ""))
    return LOST[kind]


def _paper(accounts: _Accounts, row: Any) -> _Of:
    """The document of an entry, in words of ours: no number stands at its start."""
    name = accounts.of[row["lot__code"]][1]
    if row["batch__code"]:
        document = f"batch {row['batch__code']}"
    elif row["sale_line__sale__number"]:
        document = f"sale {row['sale_line__sale__number']}"
    elif row["lot__line__purchase__number"] and row["kind"] == KIND.RECEIVED:
        document = f"purchase {row['lot__line__purchase__number']}"
    else:
        document = f"lot {row['lot__code']}"
    return _Of(row["on"], document, f"{row['kind']}: {name}, lot {row['lot__code']}")


def _start(accounts: _Accounts, row: Any, code: str) -> Iterator[Posting]:
    value, paper = accounts.valuation.lots[code], _paper(accounts, row)
    total = sum(value.total.values())
    spoilt = sum(value.abnormal.values())
    here = accounts.lot(code)
    if row["kind"] == KIND.OPENING:
        yield paper.posting(here, "opening", total)
    elif row["kind"] == KIND.RECEIVED:
        credit = "payable" if row["lot__line_id"] else "tap"
        if code in accounts.empties:
            credit = "empties"
        yield paper.posting(here, credit, total)
    else:
        inside = accounts.batch(row["batch__code"])
        yield paper.posting(here, inside, total - spoilt)
        lost = "development" if value.trial else "abnormal"
        yield paper.posting(lost, inside, spoilt)


def _of_work(view: OnDay, accounts: _Accounts) -> Iterator[Posting]:
    """The making cost of each batch on the days on which it was worked.

    What of it hangs on no hours of a day stands on the last of them.
    """
    rest = {
        (code, kind): nano
        for code, node in accounts.batches.items()
        for kind, nano in node.work.items()
    }
    last: dict[str, date] = {}
    rows = standing_work().filter(on__lte=view.day).select_related("batch")
    for row in as_now(rows.order_by("on", "pk")):
        code, kind = row.batch.code, row.kind
        if (code, kind) not in rest:
            continue
        nano = int(row.hours * row.rate * NANO)
        last[code] = max(row.on, last.get(code, row.on))
        rest[code, kind] -= nano
        yield _worked(accounts, row.on, code, kind, nano)
    started = dict(
        Movement.objects.standing()
        .filter(batch__isnull=False, on__lte=view.day)
        .order_by("on", "pk")
        .values_list("batch__code", "on")
    )
    for (code, kind), nano in rest.items():
        on = started.get(code) or last.get(code) or view.day
        yield _worked(accounts, on, code, kind, nano)


def _worked(accounts: _Accounts, on: date, code: str, kind: str, nano: int) -> Posting:
    paper = _Of(on, f"batch {code}", f"{kind} of batch {code}")
    return paper.posting(accounts.batch(code), f"making_{kind}", nano)
