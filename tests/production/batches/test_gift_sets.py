"""A gift set: two bottles and a box are one packing batch.

What the maker expects: the page proposes two bottles a set and a box each; the set
costs what its bottles and its box cost, with the minutes of packing; it leads back to
the kettle and on to who has it; its label page asks what a set needs.
"""

from decimal import Decimal as D
from io import StringIO

import pytest
from django.core.management import call_command
from django.urls import reverse

from costing.reads import book_behind
from production.correcting.actions.undoing import undo_deed
from production.models import Lot
from production.recipes.actions.formulas import NewVersionLine
from production.selling.actions.sales import NewSaleLine, sell
from production.stock.reads.stock import status_on
from tests import make
from tests.make import act, day
from tests.production.writing import holds, typed

pytestmark = pytest.mark.django_db


@pytest.fixture
def shelf(db):
    """20 bottles at 1.00 each in all, and ten boxes for 8.00."""
    soap = make.proven(
        "S1", grams="5000", price="10.00", item=make.item("diluted soap", kind="made")
    )
    bottles = make.bottles("B1", pieces="20", price="10.00")
    make.batch(
        "filling",
        uses=[(soap, "5000"), (bottles, "20")],
        makes="hand soap 250",
        unit="piece",
        amount="20",
        net_mass="250",
        code="F1",
    )
    box = make.item("gift box", kind="packaging", unit="piece", serves_as="box")
    make.lot("X1", grams="10", price="8.00", item=box)
    return make.version(
        "packing",
        name="Gift set",
        makes=make.item("gift set", kind="made", unit="piece"),
        lines=[
            NewVersionLine(make.item("hand soap 250"), each=D(2)),
            NewVersionLine(box, each=D(1)),
        ],
    )


def page(version):
    run = reverse("batch-run", args=["packing"])
    return f"{run}?version={version.pk}&amount=5"


def packed(desk, version, **more):
    shown = desk.get(page(version))
    sent = typed(shown) | {
        "amount": "5",
        "lot_code": "SET1",
        "on": "2026-03-04",
        "work-0-hours": "30 min",
        "work-0-rate": "20",
        **more,
    }
    answer = desk.post(page(version), sent)
    assert answer.status_code == 302, answer.context["form"].errors
    return Lot.objects.get(code="SET1")


def test_the_page_proposes_what_a_set_takes(desk, shelf):
    rows = desk.get(page(shelf)).context["form"].rows["uses"]
    proposed = [(row["lot"].value(), row["amount"].value()) for row in rows]
    assert [one for one in proposed if one[0]] == [("F1", "10"), ("X1", "5")]


def test_a_set_costs_its_bottles_its_box_and_its_minutes(desk, shelf):
    lot = packed(desk, shelf)
    # Two bottles at 1.00, a box at 0.80, half an hour at 20.00 over five sets.
    assert book_behind(lot).valuation.lots["SET1"].unit_cost == D("4.80")
    out = StringIO()
    call_command("cost", "SET1", stdout=out)
    assert "4.800000000 USD per piece" in out.getvalue()
    assert desk.get(reverse("lot-cost", args=["SET1"])).status_code == 200
    assert (make.on_hand(Lot.objects.get(code="F1")), make.on_hand(lot)) == (10, 5)


def test_a_set_leads_back_to_the_soap_and_on_to_who_has_it(desk, shelf):
    lot = packed(desk, shelf)
    if status_on(lot, day(4)) == "quarantine":
        desk.post(
            reverse("lot-release", args=["SET1"]),
            typed(desk.get(reverse("lot-release", args=["SET1"])))
            | {"on": "2026-03-04", "reason": "looked at"},
        )
    assert status_on(lot, day(4)) == "released"
    sell(lines=[NewSaleLine(lot, D(2), D(24))], channel="Fair", **act(5))
    out = StringIO()
    call_command("trace", "SET1", "--json", stdout=out)
    told = out.getvalue()
    for code in ("S1", "B1", "F1", "X1"):
        assert f'"{code}"' in told
    out = StringIO()
    call_command("trace", "S1", "--json", stdout=out)
    assert '"SET1"' in out.getvalue()
    assert "Fair" in out.getvalue()
    text = desk.get(reverse("trace"), {"lot": "SET1"}).content.decode()
    for code in ("S1", "B1", "F1", "X1"):
        assert code in text


def test_its_label_page_opens_and_says_what_is_missing(desk, shelf):
    lot = packed(desk, shelf)
    answer = desk.get(reverse("lot-label", args=[lot.code]))
    assert answer.status_code == 200
    assert desk.get(reverse("lot-ingredients", args=[lot.code])).status_code == 200


def test_a_box_too_few_is_asked_about_and_nothing_is_lost(desk, shelf):
    shown = typed(desk.get(page(shelf)))
    good = shown | {"amount": "5", "lot_code": "SET1", "on": "2026-03-04"}
    holds(desk, page(shelf), good, {"uses-1-amount": "4"}, "gift box")


def test_a_set_unpacked_again_gives_its_bottles_back(desk, shelf):
    lot = packed(desk, shelf)
    undo_deed(undone=lot.deed, **act(5, reason="packed the wrong soap"))
    assert make.on_hand(Lot.objects.get(code="F1")) == 20
    assert make.on_hand(Lot.objects.get(code="X1")) == 10
