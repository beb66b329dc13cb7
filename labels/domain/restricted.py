"""Restricted and forbidden substances that a soap maker meets, against a lot's list.

Shares are percent of the finished product. Only what the table of the rules names is
looked at; of every other name the answer is "not checked here", never "allowed".
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal, localcontext
from typing import Literal

from labels.domain.citing import cited
from labels.domain.name_book import folded
from production.chemistry.domain.constants import EXACT
from production.quantities.domain.numbers import ZERO, plain

State = Literal[
    "over the limit",
    "forbidden",
    "within",
    "words missing",
    "words stand",
    "not yet in force",
    "not known",
    "ask",
]
FAILS: frozenset[State] = frozenset({"over the limit", "forbidden", "words missing"})
PH = "pH"
NOT_CHECKED = "not checked here"


@dataclass(frozen=True, slots=True)
class Limit:
    """One row of the table.

    ``counted_as`` is what the limit speaks of and ``factor`` grams of it in one gram of
    the substance; ``limit`` is percent of the finished product, or a pH. ``use`` is ""
    or the one use that it is for; ``words`` must stand on the label; ``ask`` is what
    to ask, of whom, where a share does not tell.
    """

    name: str
    counted_as: str
    factor: Decimal
    limit: Decimal | None
    use: str
    since: date | None
    words: str
    ask: str
    says: str
    source: str
    standing: str

    @property
    def cited(self) -> str:
        return cited(self.source, self.standing)

    @classmethod
    def of(cls, row: Mapping[str, str]) -> "Limit":
        """From a row of ``restricted``; an empty cell is none, an empty factor 1."""
        return cls(
            name=row["name"],
            counted_as=row["counted_as"],
            factor=Decimal(row["factor"] or 1),
            limit=Decimal(row["limit"]) if row["limit"] else None,
            use=row["use"],
            since=date.fromisoformat(row["since"]) if row["since"] else None,
            words=row["words"],
            ask=row["ask"],
            says=row["says"],
            source=row["source"],
            standing=row["standing"],
        )


@dataclass(frozen=True, slots=True)
class Finding:
    """What the table says of something in the lot. ``share`` is percent, or the pH."""

    names: tuple[str, ...]
    state: State
    share: Decimal | None
    limit: Limit
    says: str

    @property
    def fails(self) -> bool:
        return self.state in FAILS


@dataclass(frozen=True, slots=True)
class Restrictions:
    """Findings, what fails first, and the names that the table does not know; without
    a ``table`` nothing was compared."""

    findings: tuple[Finding, ...]
    not_checked: tuple[str, ...]
    table: bool = True

    @property
    def failing(self) -> tuple[Finding, ...]:
        return tuple(one for one in self.findings if one.fails)


def restrictions(
    shares: Mapping[str, Decimal],
    table: Sequence[Limit],
    on: date,
    *,
    ph: Decimal | None = None,
    use: str = "",
    label_words: str = "",
) -> Restrictions:
    """Compare a lot with a table of limits.

    ``shares``: INCI name -> percent of the finished product, each substance once, what
    a fragrance holds among them; a name that only went in and reacted stands with 0.
    ``on`` is the day it is placed on the market, ``use`` such as "hand wash".
    """
    named = {folded(name): (name, share) for name, share in shares.items()}
    groups: dict[tuple[str, str, str], list[Limit]] = {}
    for limit in table:
        if folded(limit.name) in named and _for_this(limit, table, use):
            kind = "words" if limit.words else "ask" if limit.ask else "limit"
            groups.setdefault((limit.counted_as, kind, limit.use), []).append(limit)
    found = [
        _finding(limits, named, on, ph=ph, label_words=label_words)
        for limits in groups.values()
    ]
    known = {folded(limit.name) for limit in table}
    return Restrictions(
        tuple(sorted(found, key=lambda one: not one.fails)),
        tuple(name for folded, (name, _) in named.items() if folded not in known),
        bool(table),
    )


def _for_this(limit: Limit, table: Sequence[Limit], use: str) -> bool:
    """A row for this use counts, and one for every other where none is for this."""
    if limit.use:
        return limit.use == use
    return not any(one.name == limit.name and one.use == use for one in table if use)


def _finding(
    limits: Sequence[Limit],
    named: Mapping[str, tuple[str, Decimal]],
    on: date,
    *,
    ph: Decimal | None,
    label_words: str,
) -> Finding:
    first = limits[0]
    names = tuple(named[folded(one.name)][0] for one in limits)
    with localcontext(EXACT):
        parts = (named[folded(one.name)][1] * one.factor for one in limits)
        share: Decimal | None = sum(parts, ZERO)
    if first.counted_as == PH:
        if ph is None and not share:
            # It made soap and none of it is left: it sets no pH.
            says = f"{first.says}. All of it has reacted; note the pH once it is known."
            return Finding(names, "ask", None, first, says)
        share = ph
    state, says = _judged(first, share, on, label_words)
    return Finding(names, state, share, first, says)


def _judged(
    limit: Limit, share: Decimal | None, on: date, label_words: str
) -> tuple[State, str]:
    if limit.since is not None and on < limit.since:
        return "not yet in force", f"{limit.says}: from {limit.since:%-d %B %Y} on"
    if limit.ask:
        return "ask", f"{limit.says}. {limit.ask}"
    if limit.words:
        if folded(limit.words) in folded(label_words):
            return "words stand", limit.says
        return (
            "words missing",
            f"{limit.says}: write it among the precautions, unless a laboratory found "
            "less",
        )
    if share is None:
        return "not known", f"{limit.says}. Measure the pH of the lot and note it."
    if limit.limit == 0:
        return "forbidden", limit.says
    of = PH if limit.counted_as == PH else f"{limit.counted_as} in the finished product"
    held = f"pH {plain(share)}" if of == PH else f"{plain(round(share, 4))} % {of}"
    over = limit.limit is not None and share > limit.limit
    return ("over the limit" if over else "within"), f"{limit.says}: {held}"
