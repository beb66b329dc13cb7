"""What a maker would say of the workshop: goods, ways, words, values, who has what.

Keys, numbers of entries and the history are left out, so that two books with different
pasts can be held against each other.
"""

from collections import defaultdict
from datetime import date
from decimal import Decimal

from costing.reads.book import whole_book
from production.buying.reads.owed import credited, open_purchases
from production.buying.reads.papers import shown_lines
from production.contents.reads.contents import contents_of
from production.counting.reads import disagreeing
from production.fitness.domain.reasons import Purpose, fit_for
from production.fitness.reads.rows import load
from production.models import (
    Batch,
    Closing,
    Given,
    Hold,
    Loss,
    Measurement,
    Movement,
    OpenPack,
    Purchase,
    Sale,
    SaleLine,
    Step,
    Work,
)
from production.quantities.domain.numbers import plain
from production.record.reads.restated import as_now
from production.selling.reads.payments import open_sales
from production.stock.reads.set_apart import standing_apart
from production.stock.reads.stock import on_hand_by_place, status_on

USED, MADE = Movement.Kind.USED, Movement.Kind.MADE


def picture(on: date = date.max) -> dict:
    """Of every lot with a standing entry, and of every batch that has anything."""
    entries = list(
        Movement.objects.standing()
        .in_book_order()
        .select_related("lot", "place", "batch", "root", "sale_line__sale__customer")
    )
    lots = sorted({row.lot for row in entries}, key=lambda lot: lot.code)
    family = load(lots).family(on)
    book = whole_book().valuation
    return {
        "on hand": {lot.code: on_hand_by_place(lot) for lot in lots},
        "apart": {
            pk: (one.to_look_at, one.unfit)
            for pk, one in standing_apart([lot.pk for lot in lots]).items()
            if one.on_hand
        },
        "words": {lot.code: status_on(lot, on) for lot in lots},
        "edges": _edges(entries),
        "fit": {
            (lot.code, str(purpose)): [
                reason.says for reason in fit_for(family, lot.code, purpose).reasons
            ]
            for lot in lots
            for purpose in (Purpose.USE, Purpose.SALE)
        },
        "values": {
            lot.code: (
                book.lots[lot.code].unit_cost,
                book.lots[lot.code].left,
                book.lots[lot.code].missing,
            )
            for lot in lots
        },
        "totals": book.totals,
        "who": sorted(_who(row) for row in entries if row.kind in ("sold", "given")),
        "readings": _readings(lots),
        "inside": {lot.code: contents_of(lot).finished for lot in lots if lot.batch_id},
        "open packs": [row.lot.code for row in OpenPack.objects.order_by("pk")],
        "losses": _losses(),
        "steps": sorted((str(r.batch), r.text) for r in Step.objects.all()),
        "hours": _hours(),
        "owed": [_open(one, one.purchase) for one in open_purchases()],
        "to come": [_open(one, one.sale) for one in open_sales()],
        "credited": [
            (one.movement.lot.code, one.amount, one.row and one.row.credit)
            for one in credited()
        ],
        "closed": [row.through for row in Closing.objects.all()],
    }


def _open(one, paper):
    return str(paper), one.owed, one.paid, one.left


def _edges(entries):
    found: dict = defaultdict(Decimal)
    for row in entries:
        if row.kind in (USED, MADE):
            found[row.kind, row.lot.code, str(row.batch), row.on] += row.amount
    return dict(found)


def _who(row):
    if row.kind == "sold":
        sale = row.sale_line.sale
        name = str(sale.customer or sale.channel)
    else:
        [given] = as_now(Given.objects.filter(movement=row.first))
        name = given.recipient or given.why
    return row.lot.code, name, row.amount, row.on


def _readings(lots):
    rows = Measurement.objects.filter(taken_back=None, lot__in=lots)
    return sorted(
        (row.lot.code, row.what, _figure(row.value), str(row.passed), row.on)
        for row in as_now(rows.select_related("lot"))
    )


def _figure(value):
    return "" if value is None else plain(value)


def _losses():
    rows = as_now(Loss.objects.all())
    return sorted((str(row.batch), row.kind, row.amount) for row in rows)


def _hours():
    found: dict = defaultdict(Decimal)
    for row in as_now(Work.objects.all()):
        found[str(row.batch), row.kind, row.rate] += row.hours
    return {key: hours for key, hours in found.items() if hours}


def papers() -> dict:
    """What stands on paper and cards: numbers, dates, names, prices, lots' facts."""
    entries = Movement.objects.standing().select_related("lot__item")
    lots = {row.lot for row in entries}
    return {
        "purchases": sorted(map(_purchase, Purchase.objects.standing()), key=str),
        "sales": sorted(map(_sale, Sale.objects.standing()), key=str),
        "cards": {
            lot.code: (str(lot.item), lot.supplier_lot, lot.net_mass, lot.expires)
            for lot in lots
        },
        "batches": sorted(
            (str(row), row.stage, row.started, row.expected, row.follows)
            for row in Batch.objects.standing()
        ),
        "held": sorted(str(row) for row in Hold.objects.unanswered()),
        "counts that disagree": [str(row) for row in disagreeing()],
    }


def _purchase(paper):
    lines = [
        (str(shown.line.item), shown.left, price and (price.price, price.tax))
        for shown in shown_lines(paper)
        if shown.stands
        for price in [shown.line.prices.all().first()]
    ]
    extras = [
        (row.kind, row.amount, row.by, row.invoiced)
        for row in as_now(paper.extra_costs.all())
    ]
    days = (paper.ordered, paper.arrived, paper.invoiced)
    return paper.number, str(paper.supplier), days, paper.rate, lines, extras


def _sale(paper):
    lines = as_now(SaleLine.objects.standing().filter(sale=paper))
    told = [(str(row.lot), row.amount, row.unit_price) for row in lines]
    return paper.number, paper.on, str(paper.customer), paper.channel, sorted(told)
