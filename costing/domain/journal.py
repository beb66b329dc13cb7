"""A journal: double entry by day and document, rounded so that nothing is lost.

Values are whole nano, a journal is in cents. Each entry balances to the cent, and what
is booked on an account up to the end of a month is its exact sum up to then, rounded
half up: what the books say of it. Both at once is controlled rounding of a table
(M. Bacharach, Matrix Rounding Problems, Management Science 12, 1966; the walk along
circles of fractions is that of B. D. Causey, L. H. Cox and L. R. Ernst, 1985): every
figure ends as one of the two whole cents around it.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from costing.domain.rollup import NANO

CENT = NANO // 100
ROUNDING = "rounding"
Cells = dict[tuple[int, str], int]


@dataclass(frozen=True, slots=True)
class Posting:
    """What one document does on one day: nano by account, a debit above zero.

    It balances: its lines add up to nothing.
    """

    on: date
    document: str
    text: str
    lines: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class Booked:
    """The same in cents, as it stands in the journal."""

    on: date
    document: str
    text: str
    lines: Mapping[str, int]

    @property
    def debits(self) -> int:
        return sum(cents for cents in self.lines.values() if cents > 0)

    @property
    def credits(self) -> int:
        return -sum(cents for cents in self.lines.values() if cents < 0)


def to_the_cent(nano: int) -> int:
    """Rounded half away from zero to a whole cent."""
    whole = (2 * abs(nano) + CENT) // (2 * CENT)
    return whole if nano >= 0 else -whole


def sums(postings: Iterable[Posting]) -> Counter[str]:
    """What is booked on each account, in nano."""
    found: Counter[str] = Counter()
    for one in postings:
        found.update(one.lines)
    return found


def by_document(postings: Iterable[Posting]) -> list[Posting]:
    """One entry for each day and document, in their order; its texts said once."""
    lines: dict[tuple[date, str], Counter[str]] = defaultdict(Counter)
    texts: dict[tuple[date, str], dict[str, None]] = defaultdict(dict)
    for one in postings:
        key = one.on, one.document
        lines[key].update(one.lines)
        texts[key][one.text] = None
    found = [
        Posting(on, document, "; ".join(texts[on, document]), _without_zeros(parts))
        for (on, document), parts in lines.items()
    ]
    return sorted((one for one in found if one.lines), key=lambda one: one.on)


def _without_zeros(lines: Mapping[str, int]) -> dict[str, int]:
    return {account: nano for account, nano in lines.items() if nano}


def journal(months: Sequence[tuple[date, Sequence[Posting]]]) -> list[Booked]:
    """The entries of each month, with its last day, rounded one month after the other.

    Where an account needs a cent that no entry has, an entry of the last day says so.
    """
    so_far: Counter[str] = Counter()
    booked: Counter[str] = Counter()
    found: list[Booked] = []
    for last, postings in months:
        rows = by_document(postings)
        so_far.update(sums(rows))
        wanted = {
            account: to_the_cent(nano) - booked[account]
            for account, nano in so_far.items()
        }
        booked.update(wanted)
        found += _month(last, rows, wanted)
    return found


def _month(
    last: date, rows: Sequence[Posting], wanted: Mapping[str, int]
) -> list[Booked]:
    cells: Cells = {
        (place, account): nano
        for place, row in enumerate(rows)
        for account, nano in row.lines.items()
    }
    there = sums(rows)
    rest = {account: cents * CENT - there[account] for account, cents in wanted.items()}
    rest[ROUNDING] = -sum(rest.values())
    end = len(rows)
    cells |= {(end, account): nano for account, nano in rest.items() if nano}
    cents = rounded(cells)
    papers = [(row.on, row.document, row.text) for row in rows]
    papers.append((last, f"month {last:%Y-%m}", "Rounded to the cent"))
    lines: list[dict[str, int]] = [{} for _ in papers]
    for (place, account), amount in cents.items():
        if amount:
            lines[place][account] = amount
    return [
        Booked(*paper, own) for paper, own in zip(papers, lines, strict=True) if own
    ]


def rounded(cells: Cells) -> Cells:
    """Nano to whole cents, each to one of the two around it.

    The sums of rows are whole cents, and so are those of columns: both stay as they
    are. The exact figures are moved along closed circles of fractions, a row and a
    column in turn, until none is left.
    """
    floors = {key: nano // CENT for key, nano in cells.items()}
    parts = {key: nano % CENT for key, nano in cells.items() if nano % CENT}
    rows: dict[int, dict[str, None]] = defaultdict(dict)
    columns: dict[str, dict[int, None]] = defaultdict(dict)
    for row, column in parts:
        rows[row][column] = None
        columns[column][row] = None
    while parts:
        circle = _circle(next(iter(parts)), rows, columns)
        up, down = circle[0::2], circle[1::2]
        here = min(*(CENT - parts[key] for key in up), *(parts[key] for key in down))
        back = min(*(parts[key] for key in up), *(CENT - parts[key] for key in down))
        step = here if here <= back else -back
        for key, sign in [*((k, 1) for k in up), *((k, -1) for k in down)]:
            parts[key] += sign * step
            if parts[key] in (0, CENT):
                floors[key] += parts.pop(key) // CENT
                row, column = key
                del rows[row][column]
                del columns[column][row]
    return floors


def _circle(
    start: tuple[int, str],
    rows: Mapping[int, Mapping[str, None]],
    columns: Mapping[str, Mapping[int, None]],
) -> list[tuple[int, str]]:
    """Fractions on a closed way, along a row and along a column in turn.

    Every row and column that has a fraction has another one, so the way goes on until
    it meets a row or a column that it has been in.
    """
    row, column = start
    way: list[tuple[int, str]] = []
    rows_seen: dict[int, int] = {}
    columns_seen: dict[str, int] = {}
    while True:
        if row in rows_seen:
            # Down a column into a row of the way: it closes along that row.
            return [*way[rows_seen[row] + 1 :], (row, column)]
        rows_seen[row] = columns_seen[column] = len(way)
        way.append((row, column))
        column = next(one for one in rows[row] if one != column)
        way.append((row, column))
        if column in columns_seen:
            return way[columns_seen[column] :]
        row = next(one for one in columns[column] if one != row)


def lacking(entries: Iterable[Booked], codes: Mapping[str, str]) -> list[str]:
    """The accounts that a journal needs and that have no code."""
    used = {account for entry in entries for account in entry.lines}
    return sorted(account for account in used if not codes.get(account))
