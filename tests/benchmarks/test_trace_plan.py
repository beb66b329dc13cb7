"""A trace costs what it finds: its plan never reads the ledger from end to end."""

from datetime import date

import pytest
from django.db import connection

from costing.reads import book_behind
from production.contents.reads.closure import back_closure, forward_closure
from production.contents.reads.contents import contents_of
from production.fitness.domain.reasons import Purpose
from production.fitness.reads import fitness
from production.models import Lot
from production.stock.reads.lookup import lots_called
from production.tracing.reads.trace import trace
from tests.benchmarks.ledger import LOTS, fill
from tests.benchmarks.plans import faults, queries_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def oil():
    """The oil of one family among others, in a ledger whose tables were looked at."""
    code = fill(30)[7]
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            # So short a ledger is read whole all the same; we ask for the way.
            cursor.execute("SET LOCAL enable_seqscan = off")
    return Lot.objects.get(code=code)


@pytest.fixture
def bottle(oil):
    return Lot.objects.get(pk=max(forward_closure(oil.pk)))


def test_the_ledger_is_what_the_measures_say(oil, bottle):
    assert len(forward_closure(oil.pk)) == LOTS - 1
    assert len(back_closure(bottle.pk)) == 4


QUESTIONS = {
    "forward": lambda oil, bottle: forward_closure(oil.pk),
    "back": lambda oil, bottle: back_closure(bottle.pk),
    "trace of the oil": lambda oil, bottle: trace(oil),
    "trace of a bottle": lambda oil, bottle: trace(bottle),
    "contents of a bottle": lambda oil, bottle: contents_of(bottle),
    "fitness of a bottle": lambda oil, bottle: fitness(bottle, Purpose.SALE, date.max),
    "a lot by what is typed": lambda oil, bottle: lots_called("n 77"),
    "cost of a bottle": lambda oil, bottle: book_behind(bottle),
}


@pytest.mark.parametrize("question", QUESTIONS)
def test_no_step_of_the_plan_reads_a_long_table_whole(oil, bottle, question):
    queries = queries_of(lambda: QUESTIONS[question](oil, bottle))
    assert queries
    assert {query: faults(query) for query in queries if faults(query)} == {}


def test_a_plan_that_reads_the_ledger_whole_is_seen(oil):
    query = "SELECT SUM(amount) FROM production_movement WHERE typed = 'x'"
    assert len(faults(query)) == 1


def test_a_trace_asks_the_same_number_of_questions_however_large_the_family(oil):
    few = len(queries_of(lambda: trace(oil)))
    [other] = fill(1)
    assert len(queries_of(lambda: trace(Lot.objects.get(code=other)))) == few + 1


def test_the_cost_of_a_lot_asks_the_same_number_of_questions(oil, bottle):
    few = len(queries_of(lambda: book_behind(bottle)))
    # What was bought has no batch to ask about.
    assert len(queries_of(lambda: book_behind(oil))) in range(few - 4, few + 1)
