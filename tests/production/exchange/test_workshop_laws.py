"""The laws of the record, over random workshops, through the real deeds."""

import io
import json
from dataclasses import replace
from decimal import Decimal

import networkx as nx
import pytest
from django.core.management import call_command
from django.db import transaction
from hypothesis import HealthCheck, given, note, settings

from config.audit import audit
from costing.domain.rollup import difference
from costing.reads import book_behind, whole_book
from production.contents.reads.closure import back_closure, forward_closure
from production.contents.reads.contents import contents_of
from production.exchange.actions.replaying import import_history
from production.exchange.reads import history_events
from production.models import Lot, Movement
from production.record.domain.text import write
from production.tracing.reads.trace import trace
from tests.production.random_workshop import RandomWorkshop, steps

pytestmark = pytest.mark.django_db
CAME = ("purchases", "opening", "making_cost")
WENT = ("stock", "work_in_progress", "cost_of_goods_sold", "losses")


class RolledBack(Exception):
    """Leaves the database as empty as it was."""


def in_an_empty_book(do):
    """Run something, keep its answer, and leave nothing in the database."""
    found = None
    try:
        with transaction.atomic():
            found = do()
            raise RolledBack
    except RolledBack:
        return found


def stock():
    out = io.StringIO()
    call_command("stock", "--json", stdout=out)
    return json.loads(out.getvalue())


def exported():
    return write("USD", history_events())


def the_laws_hold():
    faults = [fault for finding in audit() for fault in finding.faults]
    assert faults == []
    book = whole_book()
    assert difference(book.valuation.totals) == 0
    report = stock()
    printed = report.get("known", report["totals"])
    assert sum(Decimal(printed[name]) for name in CAME) == sum(
        Decimal(printed[name]) for name in WENT
    )
    for row in report["lots"]:
        if row["value"] is not None:
            parts = sum(map(Decimal, row["parts"].values()), Decimal(0))
            assert parts == Decimal(row["value"])
    if "missing" not in report:
        values = sum((Decimal(row["value"]) for row in report["lots"]), Decimal(0))
        assert values == Decimal(report["totals"]["stock"])
    each_lot_alone_costs_what_it_costs_in_the_whole_book(book)
    each_lot_weighs_what_is_in_it()
    return report


def each_lot_alone_costs_what_it_costs_in_the_whole_book(book):
    for lot in Lot.objects.order_by("-pk")[:6]:
        alone = book_behind(lot).valuation.lots[lot.code]
        assert alone.known_unit_cost == book.valuation.lots[lot.code].known_unit_cost
        shares = book_behind(lot).sources(lot.code)
        if shares:
            assert sum(share.exact for share in shares) == alone.known_unit_cost


def each_lot_weighs_what_is_in_it():
    """What a lot started with is what is said to be in it, nothing more or less."""
    for lot in Lot.objects.filter(item__unit="g").order_by("-pk")[:6]:
        started = lot.movements.standing().filter(
            kind__in=["received", "opening", "made"]
        )
        held = contents_of(lot)
        assert held.finished is not None or held.missing
        if held.finished:
            gap = held.finished.total - sum(row.amount for row in started)
            assert abs(gap) < Decimal("1e-12")


def another_library_finds_the_same_families():
    used = Movement.objects.standing().filter(kind="used")
    made = dict(
        Movement.objects.standing()
        .filter(kind="made")
        .values_list("batch_id", "lot_id")
    )
    graph = nx.DiGraph()
    graph.add_nodes_from(Lot.objects.values_list("pk", flat=True))
    graph.add_edges_from(
        (lot, made[batch])
        for lot, batch in used.values_list("lot_id", "batch_id")
        if batch in made
    )
    assert nx.is_directed_acyclic_graph(graph)
    for pk in graph:
        assert back_closure(pk) == nx.ancestors(graph, pk)
        assert forward_closure(pk) == nx.descendants(graph, pk)


def everything_that_left_leads_to_somebody():
    for lot in Lot.objects.all():
        for delivery in trace(lot).deliveries:
            assert delivery.who or delivery.channel


def families():
    return {lot.code: told(trace(lot)) for lot in Lot.objects.all()}


def told(family):
    """By codes: the book that saw only the file has rows of its own."""
    inside = [(row.batch.code, row.lot.code, row.amount) for row in family.open]
    return replace(family, open=inside)


def lived(steps):
    """Play a past and say what it holds: file, stock, families."""
    workshop = RandomWorkshop().play(steps)
    note(f"done {dict(workshop.done)} refused {dict(workshop.refused)}")
    report = the_laws_hold()
    another_library_finds_the_same_families()
    everything_that_left_leads_to_somebody()
    return exported(), report, families()


def moved_in(text):
    """The same, of a book that only ever saw the file."""
    import_history(text=text)
    return exported(), the_laws_hold(), families()


@settings(
    max_examples=6,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(steps())
def test_a_random_workshop_keeps_every_law_and_moves_house_unchanged(db, steps):
    text, before, traced = in_an_empty_book(lambda: lived(steps))
    again, after, traced_again = in_an_empty_book(lambda: moved_in(text))
    assert again == text
    same_stock(before, after)
    for code, family in traced_again.items():
        assert family == traced[code]


def same_stock(before, after):
    """Lots, amounts and words alike; money to a millionth, since order is dust."""
    left = {row["code"]: row for row in before["lots"]}
    for row in after["lots"]:
        old = left.pop(row["code"])
        for key in ("item", "unit", "status", "in", "on_hand"):
            assert row[key] == old[key], (row, old)
        for key in ("unit_cost", "value"):
            near(row[key], old[key])
    # What was taken back wholly stays behind.
    assert all(row["in"] == "0" and row["on_hand"] == "0" for row in left.values())
    assert before.get("missing") == after.get("missing")
    for name, total in after.get("known", after["totals"]).items():
        near(total, before.get("known", before["totals"])[name])


def near(one, other):
    assert (one is None) == (other is None)
    if one is not None:
        assert abs(Decimal(one) - Decimal(other)) <= Decimal("0.000001")
