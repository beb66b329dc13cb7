"""The laws of the books, over random workshops, through the real deeds.

opening + purchases + making cost = stock + work in progress + cost of goods sold
+ losses + drawings + late bills sold and lost: at every day, between any two days, by
every method, whatever was closed, billed late, corrected or brought back.
"""

from datetime import date, timedelta
from itertools import pairwise

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, note, settings
from hypothesis import strategies as st

from costing.domain.books import METHODS
from costing.models import BooksTerms, Statement
from costing.reads.books import books_between, books_on
from costing.reads.statements import statement_of
from production.closing.actions import close_book
from production.models import Closing
from tests import make
from tests.production.random_workshop import FIRST, RandomWorkshop, steps

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
FEW = settings(
    max_examples=5,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)


class RolledBack(Exception):
    """Leaves the database as empty as it was."""


def in_an_empty_book(do):
    try:
        with transaction.atomic():
            do()
            raise RolledBack
    except RolledBack:
        pass


def adds_up(books):
    """Both sides of one report, each figure taken by itself."""
    told = books.figures
    came = told.opening + told.purchases + sum(told.making.values())
    went = told.stock + told.work_in_progress + told.cost_of_goods_sold
    went += sum(told.losses.values()) + told.drawings
    assert came == went + told.late.sold + told.late.lost
    assert sum(told.causes.values()) == told.losses["abnormal"]
    if books.known:
        assert sum(row.value for row in books.stock) == told.stock
        assert sum(books.by_kind().values()) == told.stock


FLOWS = ("purchases", "cost_of_goods_sold", "drawings", "revenue")


def follow(whole, parts):
    """What came and went in the parts is what did in the whole."""
    for name in FLOWS:
        assert getattr(whole.figures, name) == sum(
            getattr(part.figures, name) for part in parts
        )
    for name in ("stock", "sold", "lost"):
        assert getattr(whole.figures.late, name) == sum(
            getattr(part.figures.late, name) for part in parts
        )
    for kind in ("losses", "making"):
        for name, nano in getattr(whole.figures, kind).items():
            assert nano == sum(
                getattr(part.figures, kind).get(name, 0) for part in parts
            )


@FEW
@given(steps=steps(), days=st.lists(st.integers(0, 60), min_size=2, max_size=4))
@pytest.mark.parametrize("method", METHODS)
def test_both_sides_agree_at_any_day_and_between_any_two(db, method, steps, days):
    def look():
        workshop = RandomWorkshop().play(steps)
        note(f"done {dict(workshop.done)} refused {dict(workshop.refused)}")
        BooksTerms(material="fifo", packaging="average", sole_trader=False).save()
        found = sorted({FIRST + timedelta(days=number) for number in days})
        closed = set(Closing.objects.values_list("through", flat=True))
        # A day amid closed ones may be refused: a test of its own says when.
        last = max(closed, default=date.min)
        found = sorted({*(day for day in found if day > last), *closed})
        for day in found:
            adds_up(books_on(day, method))
        parts = []
        for after, through in pairwise(found):
            parts.append(books_between(after + DAY, through, method))
            adds_up(parts[-1])
            assert parts[-1].held_before == books_on(after, method).figures.held
        if parts:
            whole = books_between(found[0] + DAY, found[-1], method)
            adds_up(whole)
            follow(whole, parts)

    in_an_empty_book(look)


@FEW
@given(before=steps(), after=steps())
def test_a_closed_statement_never_changes_by_a_byte(db, before, after):
    """January is closed in the middle of it all; the books of its last day are its
    statement, whatever comes, and the first open month says what was learnt."""

    def look():
        workshop = RandomWorkshop().play(before)
        end = date(2026, 1, 31)
        workshop.today = max(workshop.today, end + DAY)
        if not Closing.objects.exists():
            facts = {"on": workshop.today, "by": make.owner()}
            close_book(through=end, **facts)
        frozen = {row.pk: row.text for row in Statement.objects.all()}
        days = list(Closing.objects.values_list("through", flat=True))
        told = {day: books_on(day) for day in days}
        workshop.play(after)
        for row in Statement.objects.filter(pk__in=frozen):
            assert row.text == frozen[row.pk]
        for day in days:
            assert books_on(day).figures == told[day].figures
            assert books_on(day).stock == told[day].stock
        found = statement_of(workshop.today)
        assert found.adds_up
        period = books_between(
            found.after + DAY if found.after else None, found.through
        )
        assert found.books == period.figures
        assert found.changes.sold == found.books.late.sold
        assert found.changes.lost == found.books.late.lost
        assert found.changes.held == found.books.late.stock

    in_an_empty_book(look)


FORWARD = ("buy", "run", "sell", "take back", "give", "discard", "move", "start")


@FEW
@given(before=steps(), after=steps())
@pytest.mark.parametrize("method", ["lots", "fifo", "average"])
def test_the_books_of_a_day_are_those_of_the_book_that_ends_there(
    db, method, before, after
):
    """What is entered and dated later changes nothing of it, as long as it says
    nothing new of what was before."""

    def look():
        workshop = RandomWorkshop().play(before)
        day = workshop.today + timedelta(days=9)
        told = books_on(day, method)
        workshop.today = day + DAY
        workshop.when = lambda dice, reason=True: {
            "on": workshop.today,
            "by": workshop.by,
            "reason": "it was so",
        }
        workshop.play([one for one in after if one[0] in FORWARD])
        again = books_on(day, method)
        assert (again.figures, again.stock) == (told.figures, told.stock)

    in_an_empty_book(look)
