"""Closed months, as their statements froze them."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date

from django.db.models import QuerySet

from costing.domain.books import SHORT, Figures, Late, Method
from costing.domain.statement import LOST, Statement, read
from costing.models.statements import Statement as Row
from production.quantities.domain.numbers import share_units

# By what a closing keeps the books; on the card as long as it names other than lots.
BOOKED: frozenset[Method] = frozenset({"lots", "card"})


@dataclass(frozen=True, slots=True)
class Frozen:
    """The last statement that was frozen through a day, after those before it.

    ``earlier`` are only loaded where it is of the first version.
    """

    statement: Statement
    earlier: tuple[Statement, ...] = ()

    @property
    def through(self) -> date:
        return self.statement.through

    def figures(self, method: Method, then: Figures) -> Figures:
        """The books through its last day as it froze them.

        ``then`` are those of that day as known now. A formula that is not on the card
        is a view and never frozen; a statement of the first version froze none, nor
        how work and gifts were split.
        """
        told = self.statement.books_to_date
        if method not in BOOKED:
            return then
        if told:
            return told.get(method, told["lots"])
        return self._of_first_version(then) if method == "lots" else then

    def _of_first_version(self, then: Figures) -> Figures:
        to_date, later = Counter(self.statement.to_date), Counter[str]()
        late, before = Late(), None
        for one in (*self.earlier, self.statement):
            changes = one.changes
            late = Late(
                late.stock + changes.held,
                late.sold + changes.sold,
                late.lost + changes.lost,
            )
            if before is not None and one.after == before.through:
                for name in LOST:
                    came = one.to_date.get(name, 0) - before.to_date.get(name, 0)
                    later[name] += came - one.lost.get(name, 0)
            before = one
        lost = {name: to_date[name] - later[name] for name in LOST}
        went_back = lost.pop("sent_back")
        given = lost["given"] - then.losses["samples"] - then.losses["own_use"]
        return replace(
            then,
            purchases=to_date["purchases"] - went_back,
            opening=to_date["opening"],
            making=_split(to_date["making_cost"], then.making, "labour"),
            stock=to_date["stock"],
            work_in_progress=to_date["work_in_progress"],
            cost_of_goods_sold=to_date["cost_of_goods_sold"] - late.sold,
            losses={**then.losses, **lost, "given": given - then.drawings},
            causes=_split(lost["abnormal"], then.causes, SHORT),
            late=late,
        )


def _split(total: int, like: Mapping[str, int], rest: str) -> dict[str, int]:
    """A figure that was frozen whole, in the shares of today."""
    weights = {name: abs(nano) for name, nano in like.items() if nano}
    if not weights:
        return {rest: total} if total else {}
    return dict(zip(weights, share_units(total, list(weights.values())), strict=True))


def last_frozen(day: date) -> Frozen | None:
    """The latest closing through that day that froze a statement."""
    rows = Row.objects.filter(closing__through__lte=day).order_by("closing__through")
    return _after(rows, rows.last())


def next_frozen(day: date) -> Frozen | None:
    """The closing that closed a day and days after it; None where none did."""
    rows = Row.objects.order_by("closing__through")
    return _after(rows, rows.filter(closing__through__gt=day).first())


def _after(rows: QuerySet[Row], last: Row | None) -> Frozen | None:
    if last is None:
        return None
    statement = read(last.text)
    earlier: Iterable[str] = ()
    if not statement.books_to_date:
        before = rows.filter(closing__through__lt=statement.through)
        earlier = before.values_list("text", flat=True)
    return Frozen(statement, tuple(read(text) for text in earlier))
