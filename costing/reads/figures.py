"""The figures of the books through a day, as all is known now."""

from collections import Counter
from datetime import date

from costing.domain.books import GIVEN, LOSSES, SHORT, Figures, Method
from costing.models import BooksTerms
from costing.reads.on_date import OnDay, Spoilt, on_day
from costing.reads.redrawn import RedrawnDay, redrawn_on
from costing.reads.revenue import revenue
from production.models import Batch, Loss, LostBatch
from production.quantities.domain.numbers import ONE, share_units
from production.yields.reads import outturns

View = OnDay | RedrawnDay


def view_of(day: date, method: Method) -> View:
    """The book of a day, by the lots that were really taken or by a formula."""
    return on_day(day) if method == "lots" else redrawn_on(day, method)


def figures_of(view: View) -> Figures:
    """All that came, went and is held since the book began; late bills are inside."""
    totals, given = view.totals, view.given()
    losses = dict.fromkeys(LOSSES, 0)
    for why, nano in given.items():
        losses[GIVEN.get(why, "given")] += nano
    causes: Counter[str] = Counter()
    if isinstance(view, OnDay):
        causes.update({_words(name): nano for name, nano in view.causes().items()})
    else:
        for _, by_cause in by_cause_of(view.spoilt()):
            causes.update(by_cause)
    losses |= {
        "discarded": totals.discarded,
        "abnormal": totals.abnormal,
        "counted": totals.counted,
        "development": totals.development,
    }
    sole, brought = terms().sole_trader, revenue(view.day)
    return Figures(
        purchases=totals.purchases - totals.sent_back,
        opening=totals.opening,
        making=view.making(),
        stock=totals.stock,
        work_in_progress=totals.work_in_progress,
        cost_of_goods_sold=totals.cost_of_goods_sold,
        losses=losses | ({"own_use": 0} if sole else {}),
        causes=dict(causes),
        drawings=losses["own_use"] if sole else 0,
        revenue=brought.nano,
        sales_tax=brought.tax,
    )


def terms() -> BooksTerms:
    """How the books are kept, as it stands on the card."""
    return BooksTerms.objects.first() or BooksTerms()


def by_cause_of(spoilt: list[Spoilt]) -> list[tuple[Spoilt, dict[str, int]]]:
    """Each abnormal loss by the names that were given to it, in shares of its amount.

    A batch that was lost whole goes by the one name that was given then.
    """
    codes = [one.batch for one in spoilt]
    batches = {one.code: one for one in Batch.objects.filter(code__in=codes)}
    told = outturns(batches[one.batch] for one in spoilt if one.lot)
    endings = dict(
        LostBatch.objects.filter(batch__code__in=codes)
        .order_by("pk")
        .values_list("batch__code", "kind")
    )
    found = []
    for one in spoilt:
        if one.lot is None:
            shares = {_words(endings.get(one.batch, "")): one.nano}
        else:
            amounts = told[batches[one.batch].pk].abnormal_by_name or {"": ONE}
            split = share_units(one.nano, list(amounts.values()))
            shares = dict(zip(map(_words, amounts), split, strict=True))
        found.append((one, shares))
    return found


def _words(name: str) -> str:
    return str(Loss.Kind(name).label) if name in Loss.Kind.values else SHORT
