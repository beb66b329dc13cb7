"""A lot's own certificate decides how much alkali a plan weighs."""

from decimal import Decimal as D

import pytest
from django.urls import reverse

from production.models import ReferenceOil
from production.recipes.actions.formulas import NewVersionLine
from production.stock.actions.opening_lots import Reading
from tests import make
from tests.once import remembered

OWN = D("188.2")


@pytest.fixture
@remembered
def winter(db):
    """4,000 g of olive oil with a certificate of its own, and more without one."""
    olive = make.item(
        "olive oil", category="oil", oil=ReferenceOil.objects.get(key="olive-oil")
    )
    said = Reading("saponification value", OWN, "stated")
    make.lot(
        "SOON",
        grams="4000",
        item=olive,
        readings=(said,),
        expires=make.day(30).replace(year=2040),
    )
    make.lot("LATE", grams="4000", item=olive)
    make.item("tap water", category="water", on_tap=True)
    make.koh("0.9", code="K1", grams="9000")
    version = make.version(
        lines=[NewVersionLine(olive, D(1))],
        superfat=D("0.02"),
        water_per_alkali=D("2.2"),
        loss=D("0.03"),
    )
    return version, olive.oil.sv


def koh_by_hand(published):
    """6,000 g: 4,000 at the certificate, 2,000 at the published value; 2 % off."""
    demand = 4000 * OWN / 1000 + 2000 * published / 1000
    return demand * D("0.98") / D("0.9")


def test_the_page_where_a_cook_is_written_up_counts_with_it(desk, winter):
    version, published = winter
    asked = {"version": version.pk, "oils": "6 kg", "alkali_lot": "K1"}
    plan = desk.get(reverse("batch-run", args=["cook"]), asked).context["plan"]
    weighed = next(row["exact"] for row in plan.rows if row["lot"] == "K1")
    assert abs(weighed - koh_by_hand(published)) < D("0.001")
    names = [cause.of for cause in plan.cooked.superfat.causes]
    # A certificate leaves no range: only the lot without one is a cause, and the
    # purity of the flakes, which its last figure rounds.
    assert names == ["olive oil, LATE", "KOH"]


def test_the_plan_counts_with_it_as_well(desk, winter):
    version, published = winter
    paste = desk.get(reverse("plan"), {"version1": version.pk, "amount1": "9 kg"})
    [stage] = paste.context["planned"].stages
    oils = stage.plan.oils
    [koh] = [t.need.amount for t in stage.taken if t.need.item.alkali]
    rest = oils - 4000
    assert 0 < rest < 4000
    by_hand = (4000 * OWN + rest * published) / 1000 * D("0.98") / D("0.9")
    assert abs(koh - by_hand) < D("0.01")


def test_a_batch_sheet_of_the_plan_carries_the_same_figure(desk, winter):
    version, _ = winter
    asked = {"version1": version.pk, "amount1": "9 kg"}
    [stage] = desk.get(reverse("plan"), asked).context["planned"].stages
    [koh] = [t.need.amount for t in stage.taken if t.need.item.alkali]
    page = desk.get(reverse("plan-sheets"), asked).content.decode()
    assert f"{koh:,.1f}" in page
