"""What was said anew of a card: who, when and why, the newest first."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from production.models import Deed, Restated
from production.reads.clock import told_at

# How a field is called on a page, where its own name is no word of the trade.
WORDS: Mapping[str, str] = {
    "needs_check": "wait for a check on arrival",
    "own_inci": "own label name",
    "own_potassium_soap": "own name of its potassium soap",
    "name_on_label": "label name",
    "group": "part",
    "active": "may sign in",
    "low": "from",
    "high": "to below",
    "silent": "says nothing",
}


@dataclass(frozen=True, slots=True)
class ToldAnew:
    """One fact that a deed wrote: what it was before, what it is from then on."""

    deed: Deed
    row: int
    field: str
    before: str
    value: str
    about: str = ""

    @property
    def says(self) -> str:
        now = self.value or "nothing"
        was = f" (before: {self.before})" if self.before else ""
        return f"{WORDS.get(self.field, self.field)}: {now}{was}"


def history_of(of: str, row: int | None = None) -> list[ToldAnew]:
    """The facts of one card that deeds wrote, or of all cards of a kind."""
    found = Restated.objects.filter(of=of).select_related("deed__by")
    if row is not None:
        found = found.filter(row=row)
    return [
        ToldAnew(one.deed, one.row, one.field, one.before, one.value)
        for one in found.order_by("-deed_id", "id")
    ]


def written_by(deed: Deed) -> list[ToldAnew]:
    """The facts that one deed wrote."""
    rows = Restated.objects.filter(deed=deed)
    return [ToldAnew(deed, one.row, one.field, one.before, one.value) for one in rows]


def who_told(rows: Iterable[Any], of: str, row: int) -> list[Any]:
    """The same facts with who wrote them and when, where a deed did."""
    told = {one.field: one for one in reversed(history_of(of, row))}
    return [
        replace(
            one,
            who=str(told[one.name].deed.by),
            when=told_at(told[one.name].deed.at),
        )
        if one.name in told
        else one
        for one in rows
    ]
