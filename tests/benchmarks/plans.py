"""How the database means to answer: it must walk the edges, not the whole ledger."""

import re

from django.db import connection
from django.test.utils import CaptureQueriesContext

# The tables that grow with the years: only the rows asked for may be read from them.
LONG = (
    "production_movement",
    "production_lot",
    "production_batch",
    "production_saleline",
)
SCAN = re.compile(r"^(?:SCAN|SEARCH .*(?:AUTOMATIC|[<>]\?))|BLOOM FILTER")


def queries_of(ask):
    """The statements that a question is answered with."""
    with CaptureQueriesContext(connection) as caught:
        ask()
    return [row["sql"] for row in caught.captured_queries if "SELECT" in row["sql"]]


def faults(query):
    """Steps of the plan that read a long table from end to end."""
    if connection.vendor == "postgresql":
        return [step for step in _steps(f"EXPLAIN {query}") if _whole_table(step)]
    names = aliases(query)
    return [
        step
        for step in _steps(f"EXPLAIN QUERY PLAN {query}")
        if SCAN.search(step) and set(step.split()) & names
    ]


def aliases(query):
    """What the statement calls the long tables, beside their own names."""
    found = {"FILTER", "AUTOMATIC"}
    for table in LONG:
        found.add(table)
        called = re.findall(rf'"?{table}"?\s+(?:AS\s+)?"?(\w+)"?', query)
        found.update(called)
    return found - {"WHERE", "ON", "INNER", "LEFT", "CROSS", "JOIN", "ORDER"}


def _whole_table(step):
    return any(f"Seq Scan on {table}" in step for table in LONG)


def _steps(query):
    with connection.cursor() as cursor:
        cursor.execute(query)
        return [str(row[-1]).strip() for row in cursor.fetchall()]
