"""Each figure of the books, opened to the entries that it is made of."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal

from django.db.models import QuerySet

from costing.domain.books import GIVEN, Books, Figures
from costing.domain.rollup import NANO
from costing.reads.figures import View, by_cause_of, terms, view_of
from costing.reads.on_date import ValuedFlow
from production.buying.reads.bills import bills
from production.models import Batch, EmptyBack, LostBatch, Lot, Movement, SaleLine
from production.record.reads.restated import as_now
from production.selling.reads.revenue import sale_revenues
from production.yields.reads import standing_work

KIND = Movement.Kind


@dataclass(frozen=True, slots=True)
class Entry:
    """One line: the day, what it is, so much of what, and its part in nano.

    ``nano`` None is not known; ``note`` is why, or what it was called.
    """

    on: date
    words: str
    link: str
    what: str
    amount: Decimal | None
    unit: str
    nano: int | None
    note: str = ""


@dataclass(frozen=True, slots=True)
class Opened:
    """A figure and its entries; ``rest`` is what they do not say.

    That is what earlier entries were re-valued by, or what a closed month kept as it
    was frozen.
    """

    title: str
    total: int
    rows: list[Entry] = field(default_factory=list)

    @property
    def rest(self) -> int:
        return self.total - sum(row.nano or 0 for row in self.rows)

    @property
    def known(self) -> bool:
        return all(row.nano is not None for row in self.rows)


TITLES = {
    "revenue": "Revenue",
    "sold": "Cost of what was sold",
    "purchases": "Purchases",
    "making": "Work on batches",
    "given": "Given away: gifts and testers",
    "samples": "Samples, and what was retained",
    "own-use": "Own use",
    "discarded": "Discarded",
    "abnormal": "Lost in making beyond what is normal",
    "counted": "Found missing, or found, at a count",
    "development": "Trials that nobody accepted",
}


def opened(of: str, books: Books) -> Opened:
    """The entries behind one figure of these books, in the order of their days."""
    view, figures = view_of(books.through, books.method), books.figures
    rows, total = OPENED[of](view, books.after, figures)
    return Opened(TITLES[of], total, sorted(rows, key=lambda row: row.on))


Rows = tuple[Iterable[Entry], int]


def _after(after: date | None) -> date:
    """The first day of the period less one; the beginning of time without one."""
    return date.min if after is None else after


def _flows(
    view: View, after: date | None, wanted: Callable[[ValuedFlow], bool]
) -> Iterator[Entry]:
    """Entries of the period that are wanted, each as a line."""
    found = [flow for flow in view.flows(after) if wanted(flow)]
    codes = {flow.lot for flow in found}
    lots = {
        lot.code: lot
        for lot in Lot.objects.filter(code__in=codes).select_related("item")
    }
    for flow in found:
        lot = lots[flow.lot]
        yield Entry(
            on=flow.on,
            words=f"{lot.item} {lot}",
            link=lot.get_absolute_url(),
            what=flow.kind,
            amount=-flow.amount,
            unit=lot.item.unit,
            nano=sum(flow.parts.values()) if flow.known else None,
            note=flow.why,
        )


def _given(name: str) -> Callable[[View, date | None, Figures], Rows]:
    def rows(view: View, after: date | None, figures: Figures) -> Rows:
        def wanted(flow: ValuedFlow) -> bool:
            own = flow.kind == KIND.GIVEN and not flow.trial
            return own and GIVEN.get(flow.why, "given") == name

        drawn = name == "own_use" and terms().sole_trader
        total = figures.drawings if drawn else figures.losses.get(name, 0)
        return _flows(view, after, wanted), total

    return rows


def _lost(kind: str) -> Callable[[View, date | None, Figures], Rows]:
    def rows(view: View, after: date | None, figures: Figures) -> Rows:
        def wanted(flow: ValuedFlow) -> bool:
            return flow.kind == kind and not flow.trial

        return _flows(view, after, wanted), figures.losses.get(kind, 0)

    return rows


def _sold(view: View, after: date | None, figures: Figures) -> Rows:
    kinds = (KIND.SOLD, KIND.RETURNED)
    rows = _flows(view, after, lambda flow: flow.kind in kinds)
    return rows, figures.cost_of_goods_sold


def _development(view: View, after: date | None, figures: Figures) -> Rows:
    """What trials lost; what is left of them is the rest, until one is accepted."""
    lost = (KIND.GIVEN, KIND.DISCARDED, KIND.COUNTED)
    rows = _flows(view, after, lambda one: one.trial and one.kind in lost)
    return rows, figures.losses.get("development", 0)


def _abnormal(view: View, after: date | None, figures: Figures) -> Rows:
    spoilt = by_cause_of(view.spoilt())
    codes = [one.batch for one, _ in spoilt]
    batches = {one.code: one for one in Batch.objects.filter(code__in=codes)}
    days = dict(
        Movement.objects.made()
        .filter(batch__code__in=codes)
        .values_list("batch__code", "on")
    )
    days |= dict(
        LostBatch.objects.filter(batch__code__in=codes).values_list("batch__code", "on")
    )
    rows = [
        Entry(
            on=days[one.batch],
            words=f"{batches[one.batch].get_stage_display()} {one.batch}",
            link=batches[one.batch].get_absolute_url(),
            what=cause,
            amount=None,
            unit="",
            nano=nano if one.known else None,
            note="lost whole" if one.lot is None else "",
        )
        for one, shares in spoilt
        if one.batch in days and days[one.batch] > _after(after)
        for cause, nano in shares.items()
    ]
    return rows, figures.losses.get("abnormal", 0)


def _revenue(view: View, after: date | None, figures: Figures) -> Rows:
    entries = Movement.objects.standing().filter(
        kind__in=(KIND.SOLD, KIND.RETURNED), on__lte=view.day, on__gt=_after(after)
    )
    entries = entries.select_related("lot__item").in_book_order()
    lines = {row.pk: row for row in SaleLine.objects.select_related("sale")}
    nets = {row.movement: row.net for row in sale_revenues(after, view.day)}
    rows = []
    for entry in entries:
        line = lines[entry.sale_line_id]
        net = nets.get(entry.pk)
        rows.append(
            Entry(
                on=entry.on,
                words=f"Sale {line.sale}",
                link=line.sale.get_absolute_url(),
                what=f"{entry.lot.item}, {entry.kind}",
                amount=-entry.amount,
                unit=entry.lot.item.unit,
                nano=None if net is None else int(net * NANO),
                note="no price" if net is None else "",
            )
        )
    return rows, figures.revenue


def _purchases(view: View, after: date | None, figures: Figures) -> Rows:
    """What came, bill by bill, at its price and its shares of extra costs; what was
    drawn or came back empty; less what suppliers got back."""
    came = Movement.objects.standing().filter(
        kind=KIND.RECEIVED, on__lte=view.day, on__gt=_after(after)
    )
    days = {
        lot: (on, purchase)
        for lot, on, purchase in came.values_list("lot", "on", "lot__line__purchase")
    }
    found = bills({purchase for _, purchase in days.values() if purchase})
    rows = []
    for bill in found.values():
        for one, cost in zip(bill.lines, bill.costs(), strict=True):
            first = min((days[lot][0] for lot in one.came if lot in days), default=None)
            if first is None:
                continue
            rows.append(
                Entry(
                    on=first,
                    words=f"Purchase {bill.purchase}",
                    link=bill.purchase.get_absolute_url(),
                    what=str(one.line.item),
                    amount=sum(one.came.values(), Decimal(0)),
                    unit=one.line.item.unit if one.line.item else "",
                    nano=None if cost is None else int(cost * NANO),
                )
            )
    back = _flows(view, after, lambda flow: flow.kind == KIND.SENT_BACK)
    rows += [replace(row, nano=None if row.nano is None else -row.nano) for row in back]
    return [*rows, *_unbilled(came)], figures.purchases


def _unbilled(came: QuerySet) -> Iterator[Entry]:
    """What no invoice brought: water from the tap, and bottles that came back."""
    empties = set(EmptyBack.objects.values_list("movement__lot", flat=True))
    rows = came.filter(lot__line=None).select_related("lot__item")
    for row in as_now(rows):
        yield Entry(
            on=row.on,
            words=f"{row.lot.item} {row.lot}",
            link=row.lot.get_absolute_url(),
            what="came back empty" if row.lot_id in empties else "from the tap",
            amount=row.amount,
            unit=row.lot.item.unit,
            nano=None if row.value is None else int(row.value * NANO),
        )


def _making(view: View, after: date | None, figures: Figures) -> Rows:
    work = standing_work().filter(on__lte=view.day, on__gt=_after(after))
    rows = [
        Entry(
            on=row.on,
            words=f"{row.batch.get_stage_display()} {row.batch}",
            link=row.batch.get_absolute_url(),
            what=row.kind,
            amount=row.hours,
            unit="h",
            nano=int(row.hours * row.rate * NANO),
        )
        for row in as_now(work.select_related("batch"))
    ]
    return rows, figures.making_cost


OPENED: dict[str, Callable[[View, date | None, Figures], Rows]] = {
    "revenue": _revenue,
    "sold": _sold,
    "purchases": _purchases,
    "making": _making,
    "given": _given("given"),
    "samples": _given("samples"),
    "own-use": _given("own_use"),
    "discarded": _lost("discarded"),
    "abnormal": _abnormal,
    "counted": _lost("counted"),
    "development": _development,
}
