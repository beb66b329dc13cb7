"""What was weighed, and a fragrance's dose, are judged in a handful of queries."""

from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from production.batches.actions import batches
from production.fragrance.actions import note_document
from production.stock.actions.opening_lots import Reading
from tests import make
from tests.once import remembered

pytestmark = pytest.mark.django_db
MORE = 8


@pytest.fixture
@remembered
def pot(owner):
    """Paste of oil and potash, a fragrance with a limit, brine and a blend."""
    sv = Reading("saponification value", Decimal(190), "stated")
    oil = make.item("rapeseed oil", category="oil")
    found = {"oil": make.lot("OIL", grams="9000", item=oil, readings=(sv,))}
    found["koh"] = make.koh()
    found["paste"] = make.batch(
        "cook",
        uses=[(found["oil"], "1000"), (found["koh"], "206")],
        makes="paste",
        amount="1206",
    )
    scent = make.lot("FRA", item=make.item("Tidewrack", category="fragrance"))
    note_document(lot=scent, edition="1", most=Decimal("0.1"), **make.act())
    salt = make.lot("SALT", item=make.item("salt", category="salt"))
    for name, lot in (("blend", scent), ("brine", salt)):
        found[name] = make.batch(
            "preparation", uses=[(lot, "100")], makes=name, amount="100"
        )
    return found


CASES = {
    "cook": [("oil", "420"), ("koh", "86")],
    "dilution": [("paste", "500"), ("oil", "1")],
    "finishing": [("paste", "500"), ("blend", "10"), ("brine", "10")],
    "rework": [("paste", "500"), ("oil", "10")],
}


def cost(pot, stage):
    uses = [(pot[name], amount) for name, amount in CASES[stage]]
    with CaptureQueriesContext(
        connection,
    ) as asked:
        make.batch(stage, uses=uses, makes="paste", amount="500")
    return len(asked)


@pytest.mark.parametrize("stage", CASES)
def test_a_deed_costs_at_most_eight_queries_more(pot, stage, monkeypatch):
    with_both = cost(pot, stage)
    monkeypatch.setattr(batches, "excess_kept_back", lambda *_: "")
    monkeypatch.setattr(batches, "hold_if_overdosed", lambda *_: None)
    assert with_both - cost(pot, stage) <= MORE, with_both
