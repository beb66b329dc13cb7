"""A statement of value: from the value at the start of a month to that at its end.

    value at the start + what came in = value at the end + what was sold + what was lost

A closed month stays as it was frozen. What its last day would show now, less what was
frozen, stands in the next statement under its own name, split by where it is: in stock,
sold or lost; nothing is posted for it. All figures are nano.

A text of the first version says no more, and is read and written as it was. Since the
second the books of the month stand in it (``costing.domain.books``), and the books to
date by each formula, from which the next month goes on.
"""

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, fields
from datetime import date
from typing import Any

from costing.domain.books import Figures
from costing.domain.books_text import nano_of, read_figures
from costing.domain.books_text import told as in_text
from costing.domain.figures import money_of
from costing.domain.rollup import Totals
from production.quantities.domain.refusal import Refused

FORMAT, VERSIONS = "kettlebook-statement", (1, 2)
VERSION = VERSIONS[-1]
CAME = ("purchases", "opening", "making_cost")
HELD = ("stock", "work_in_progress")
SOLD = "cost_of_goods_sold"
TOTALS = tuple(field.name for field in fields(Totals))
LOST = tuple(name for name in TOTALS if name not in (*CAME, *HELD, SOLD))


@dataclass(frozen=True, slots=True)
class Row:
    """What stood in stock, or in an open batch, at the end: its amount and its value.

    ``amount`` is "" for a batch; ``value`` None is not known.
    """

    code: str
    name: str
    amount: str
    unit: str
    value: int | None


@dataclass(frozen=True, slots=True)
class Changes:
    """What was learnt of closed months since they were frozen, by where it is now."""

    came: int = 0
    held: int = 0
    sold: int = 0
    lost: int = 0


@dataclass(frozen=True, slots=True)
class Statement:
    """Of the days after ``after`` (None: from the beginning) through ``through``.

    ``to_date`` are the totals since the book began, as known now; the next statement
    starts from them. ``missing`` says what is not known: the figures are then only the
    known part. ``books`` are those of the period and ``books_to_date`` since the book
    began, by method; ``unpriced`` are (line of a sale, day) since then, without a
    price. A statement of the first version has none of these.
    """

    workshop: str
    currency: str
    paper: str
    after: date | None
    through: date
    start: Mapping[str, int]
    came: Mapping[str, int]
    changes: Changes
    end: Mapping[str, int]
    sold: int
    lost: Mapping[str, int]
    to_date: Mapping[str, int]
    stock: tuple[Row, ...] = ()
    in_progress: tuple[Row, ...] = ()
    missing: tuple[str, ...] = ()
    version: int = VERSION
    books: Figures = field(default_factory=Figures)
    books_to_date: Mapping[str, Figures] = field(default_factory=dict)
    unpriced: tuple[tuple[str, str], ...] = ()
    missing_lots: tuple[str, ...] = ()

    @property
    def difference(self) -> int:
        """What came less where it is, in nano: 0, or the statement does not add up."""
        came = sum(self.start.values()) + sum(self.came.values()) + self.changes.came
        went = sum(self.end.values()) + self.sold + sum(self.lost.values())
        return came - went - self.changes.sold - self.changes.lost

    @property
    def adds_up(self) -> bool:
        """Whether each side of it does."""
        books = [self.books, *self.books_to_date.values()]
        return not self.difference and not any(one.difference for one in books)


def amounts_of(totals: Totals) -> dict[str, int]:
    """The totals of a book by name."""
    return {name: getattr(totals, name) for name in TOTALS}


def period(
    now: Mapping[str, int],
    before: Mapping[str, int] | None,
    frozen: Mapping[str, int] | None,
) -> dict[str, Any]:
    """The figures of one statement.

    ``now`` are the totals through its last day, ``before`` those through the day before
    it begins, both as known now; ``frozen`` are the latter as they were closed. None:
    there was no closing; or none that froze a statement, so that nothing can differ.
    """
    earlier = before or dict.fromkeys(TOTALS, 0)
    closed = dict.fromkeys(TOTALS, 0) | dict(frozen or earlier)
    later = {name: earlier[name] - closed[name] for name in TOTALS}
    since = {name: now[name] - earlier[name] for name in TOTALS}
    return {
        "start": {name: closed[name] for name in HELD},
        "came": {name: since[name] for name in CAME},
        "changes": Changes(
            came=_sum(later, CAME),
            held=_sum(later, HELD),
            sold=later[SOLD],
            lost=_sum(later, LOST),
        ),
        "end": {name: now[name] for name in HELD},
        "sold": since[SOLD],
        "lost": {name: since[name] for name in LOST},
        "to_date": dict(now),
    }


def _sum(figures: Mapping[str, int], names: Sequence[str]) -> int:
    return sum(figures[name] for name in names)


def digest_of(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


def write(statement: Statement) -> str:
    """The canonical text: the same statement gives the same bytes."""
    changes = statement.changes
    told = {
        "format": FORMAT,
        "version": statement.version,
        "workshop": statement.workshop,
        "currency": statement.currency,
        "paper": statement.paper,
        "after": statement.after.isoformat() if statement.after else None,
        "through": statement.through.isoformat(),
        "value_at_start": _money(statement.start),
        "came": _money(statement.came),
        "changes_to_closed_months": _money(
            {
                "came": changes.came,
                "in_stock_and_in_work": changes.held,
                "sold": changes.sold,
                "lost": changes.lost,
            }
        ),
        "value_at_end": _money(statement.end),
        "cost_of_goods_sold": money_of(statement.sold),
        "losses": _money(statement.lost),
        "to_date": _money(statement.to_date),
        "in_stock": [_row(row) for row in statement.stock],
        "in_work": [_row(row) for row in statement.in_progress],
        "missing": list(statement.missing),
    }
    if statement.version > 1:
        told |= {
            "missing_lots": list(statement.missing_lots),
            "unpriced_sales": [list(one) for one in statement.unpriced],
            "books": in_text(statement.books),
            "books_to_date": {
                name: in_text(one) for name, one in statement.books_to_date.items()
            },
        }
    return json.dumps(told, ensure_ascii=False, indent=1) + "\n"


def _money(figures: Mapping[str, int]) -> dict[str, str]:
    return {name: money_of(nano) for name, nano in figures.items()}


def _row(row: Row) -> dict[str, str | None]:
    value = None if row.value is None else money_of(row.value)
    return {
        "code": row.code,
        "name": row.name,
        "amount": row.amount,
        "unit": row.unit,
        "value": value,
    }


def read(text: str) -> Statement:
    """The statement that a canonical text holds; refused where it is none."""
    try:
        told = json.loads(text)
        if told["format"] != FORMAT or told["version"] not in VERSIONS:
            raise ValueError
        found = _statement(told)
    except (ValueError, KeyError, TypeError, AttributeError, ArithmeticError):
        raise Refused("The statement of a closing is not as it was written.") from None
    if not found.adds_up or write(found) != text:
        raise Refused("The statement of a closing is not as it was written.")
    return found


def _statement(told: dict[str, Any]) -> Statement:
    changes = _nanos(told["changes_to_closed_months"])
    return Statement(
        workshop=str(told["workshop"]),
        currency=str(told["currency"]),
        paper=str(told["paper"]),
        after=date.fromisoformat(told["after"]) if told["after"] else None,
        through=date.fromisoformat(told["through"]),
        start=_nanos(told["value_at_start"]),
        came=_nanos(told["came"]),
        changes=Changes(
            came=changes["came"],
            held=changes["in_stock_and_in_work"],
            sold=changes["sold"],
            lost=changes["lost"],
        ),
        end=_nanos(told["value_at_end"]),
        sold=nano_of(told["cost_of_goods_sold"]),
        lost=_nanos(told["losses"]),
        to_date=_to_date(told["to_date"]),
        stock=tuple(_read_row(row) for row in told["in_stock"]),
        in_progress=tuple(_read_row(row) for row in told["in_work"]),
        missing=tuple(str(one) for one in told["missing"]),
        version=told["version"],
        **(_books(told) if told["version"] > 1 else {}),
    )


def _books(told: dict[str, Any]) -> dict[str, Any]:
    """What the second version says beyond the first."""
    return {
        "books": read_figures(told["books"]),
        "books_to_date": {
            name: read_figures(one) for name, one in told["books_to_date"].items()
        },
        "unpriced": tuple((str(one), str(on)) for one, on in told["unpriced_sales"]),
        "missing_lots": tuple(str(one) for one in told["missing_lots"]),
    }


def _read_row(told: dict[str, Any]) -> Row:
    return Row(
        code=str(told["code"]),
        name=str(told["name"]),
        amount=str(told["amount"]),
        unit=str(told["unit"]),
        value=None if told["value"] is None else nano_of(told["value"]),
    )


def _to_date(told: dict[str, str]) -> dict[str, int]:
    """The totals as they were written; an early statement knew nothing of returns to
    suppliers, and its text stays as it is."""
    later = set() if "sent_back" in told else {"sent_back"}
    return {name: nano_of(told[name]) for name in TOTALS if name not in later}


def _nanos(told: dict[str, str]) -> dict[str, int]:
    return {name: nano_of(figure) for name, figure in told.items()}
