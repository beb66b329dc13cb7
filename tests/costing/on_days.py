"""The book of a day as it is kept, beside the truncated book from nothing."""

from costing.reads.book import book_at
from costing.reads.on_date import on_day
from production.models import Movement


def same_as_from_nothing(day):
    """Everything that the book of a day says is what its entries alone come to."""
    kept, book = on_day(day), book_at(day)
    valuation = book.valuation
    assert kept.totals == valuation.totals, day
    assert kept.missing == valuation.missing, day
    assert sum(kept.making().values()) == kept.totals.making_cost
    assert sum(kept.given().values()) == kept.totals.given
    assert sum(kept.causes().values()) == kept.totals.abnormal
    spoilt_by_batch(kept, book)
    left = {one.code: one for one in kept.lots()}
    there = {code: one for code, one in valuation.lots.items() if one.amount_left}
    assert list(left) == [node.code for node in book.lots if node.code in there]
    for code, one in there.items():
        found = left[code]
        assert (found.amount, dict(found.parts)) == (one.amount_left, dict(one.stock))
        assert (found.known, found.trial) == (not one.missing, one.trial), (day, code)
    held = {**valuation.in_progress, **valuation.lost}
    inside = {one.code: one for one in kept.batches()}
    assert {code for code, one in held.items() if one.inside} == set(inside)
    trials = {node.code for node in book.batches if node.trial}
    for code, one in inside.items():
        assert dict(one.parts) == dict(held[code].inside), (day, code)
        assert one.known == (not held[code].missing), (day, code)
        assert one.trial == (code in trials)
        assert one.lost == (code in valuation.lost)
    taken = {
        pk: (code, dict(parts))
        for code, one in valuation.lots.items()
        for pk, parts in one.taken.items()
    }
    flows = kept.flows()
    assert {one.movement: (one.lot, dict(one.parts)) for one in flows} == taken
    rows = Movement.objects.filter(pk__in=taken).in_book_order()
    assert [one.movement for one in flows] == [row.pk for row in rows]
    for one in flows:
        value = valuation.lots[one.lot]
        assert (one.known, one.trial) == (not value.missing, value.trial), one


def spoilt_by_batch(kept, book):
    """What each batch lost in the making, as the roll-up says it."""
    valuation, trials = book.valuation, {b.code for b in book.batches if b.trial}
    wanted = {
        (node.batch, node.code): sum(valuation.lots[node.code].abnormal.values())
        for node in book.lots
        if not valuation.lots[node.code].trial
    }
    wanted |= {
        (code, None): sum(one.inside.values())
        for code, one in valuation.lost.items()
        if code not in trials
    }
    found = {(one.batch, one.lot): one.nano for one in kept.spoilt()}
    assert found == {at: nano for at, nano in wanted.items() if nano}
