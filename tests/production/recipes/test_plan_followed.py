"""A plan that is followed exactly loses what was planned with, and nothing more.

From what /plan/ says to the pages that it leads to, and into the book; the alkali's
weight is typed as a maker reads it off the balance. Recipes and losses are invented
(``tideline.py``).
"""

from decimal import Decimal as D
from urllib.parse import parse_qs, urlsplit

import pytest
from django.urls import reverse

from production.models import Lot, Workshop
from production.quantities.domain.numbers import plain
from production.release.actions.readings import note_measurement
from production.stock.actions.opening_lots import Reading, set_status
from production.yields.reads import outturn
from tests import make
from tests.production import tideline
from tests.production.writing import typed

pytestmark = pytest.mark.django_db

# Two or three amounts rounded to the milligram.
TRIFLE = D("0.05")
STAGES = ("preparation", "cook", "dilution", "finishing", "filling")


@pytest.fixture
def shop(db):
    return tideline.workshop(bottles="200")


def ask(desk, shop, **more):
    asked = {"version1": shop.filling.pk, "amount1": "40", "on": "2026-03-16"}
    answer = desk.get(reverse("plan"), asked | more)
    assert answer.context["planned"], answer.context["form"].errors
    stages = answer.context["stages"]
    assert {row.plan.stage.stage for row, _ in stages} == set(STAGES)
    return stages


def all_lose(shop, text):
    """The boxes of the losses on /plan/, each with the same written in."""
    stages = (shop.brine, shop.cook, shop.dilution, shop.finishing, shop.filling)
    return {f"loss{version.pk}": text for version in stages}


def write_up(desk, row, url, paste, trifle):
    """Send the page as it stands, with what only a person can write."""
    if row.plan.stage.stage == "dilution":
        # What came out of the kettle has its code only now.
        assert "paste" not in parse_qs(urlsplit(url).query)
        url += f"&paste={paste}"
    page = desk.get(url)
    plan, sent = page.context["plan"], typed(page)
    assert abs(plan.expected - row.comes_out) <= trifle, plan.remarks
    for place, use in enumerate(page.context["form"].rows["uses"]):
        if use.is_lye:
            assert sent[f"uses-{place}-amount"] == ""
            sent[f"uses-{place}-amount"] = sent[f"uses-{place}-planned_amount"] + " g"
            sent[f"uses-{place}-read"] = use.fields["read"].sentence
        elif last := made_here(use):
            sent[f"uses-{place}-lot"] = last.code
            sent[f"uses-{place}-amount"] = all_there_is(use, last)
    counted = row.plan.stage.makes.counted
    code = f"{row.plan.stage.stage}-1".upper()
    sent |= {
        "on": row.begins.isoformat(),
        "amount": plain(plan.expected) + ("" if counted else " g"),
        "lot_code": code,
    }
    if counted:
        sent["net_mass"] = "245 g"
    answer = desk.post(url, sent)
    assert answer.status_code == 302, says(answer)
    return Lot.objects.get(code=code)


def made_here(use):
    """The lot of what an earlier stage made; also where the page proposes none."""
    lots = Lot.objects.filter(item=use["of"].value() or 0, batch__isnull=False)
    return lots.last() if use.typed is None or use.typed.batch else None


def all_there_is(use, lot):
    """Rounded at both ends, a stage can ask for a trifle more than the last one made:
    then all of that goes in."""
    asked = use["amount"].value()
    wanted, held = D(asked.removesuffix(" g")), make.on_hand(lot)
    assert wanted - held <= TRIFLE
    return asked if wanted <= held else f"{plain(held)} g"


def let_go(lot, row):
    """Neutral, and released once it has rested; no other check is part of this."""
    reading, on = [make.check()], row.ready
    note_measurement(lot=lot, readings=reading, on=on, by=make.owner())
    set_status(lot.deed, lot, "released", on=on)


def as_planned(desk, row, url, loss, paste="", trifle=TRIFLE):
    """One stage in the book, and nothing of it lost but what was planned with."""
    stage = row.plan.stage
    lot = write_up(desk, row, url, paste, trifle)
    batch, found = lot.batch, outturn(lot.batch)
    assert batch.version_id == stage.key
    assert batch.loss == loss, stage.name
    assert batch.follows
    assert (found.abnormal, found.missing, found.surplus) == (0, 0, 0), stage.name
    if not stage.makes.counted:
        assert abs(found.used - row.together) <= trifle
        assert abs(found.expected - row.comes_out) <= trifle
    return lot


@pytest.mark.parametrize(("text", "loss"), [("", None), ("10 %", D("0.1"))])
def test_a_plan_followed_exactly_gives_no_abnormal_loss(desk, shop, text, loss):
    """10 % is no recipe's loss; with nothing typed the recipe's own counts."""
    made = {}
    for row, url in ask(desk, shop, **(all_lose(shop, text) if text else {})):
        lot = as_planned(desk, row, url, loss, made.get("cook", ""))
        made[row.plan.stage.stage] = lot
        let_go(lot, row)
    assert tuple(sorted(made)) == tuple(sorted(STAGES))
    assert make.on_hand(made["filling"]) == 40


@pytest.mark.parametrize("step", ["1", "5"])
def test_nor_does_it_on_a_coarse_balance(desk, shop, step):
    """Something of each is left of earlier batches, so that every page can be followed
    to the gram; the paste left over is as rich as the one that is planned."""
    Workshop.objects.update(balance_step=D(step))
    stages = ask(desk, shop, **all_lose(shop, "10 %"))
    content = next(row.content for row, _ in stages if row.is_cook)
    reading = Reading("soap content", round(content, 5))
    for stage in (shop.brine, shop.cook, shop.dilution, shop.finishing):
        item = stage.formula.makes
        readings = (make.check(), *([reading] if stage == shop.cook else ()))
        make.lot(f"OLD-{stage.pk}", grams="30000", item=item, readings=readings)
    for row, url in stages:
        # The weighed paste decides the water, a few steps beside what was planned.
        trifle, paste = 20 * D(step), f"OLD-{shop.cook.pk}"
        lot = as_planned(desk, row, url, D("0.1"), paste, trifle)
        for taken in row.taken:
            if taken.made_above:
                continue
            unit = 1 if taken.need.item.counted else D(step)
            assert taken.need.amount % unit == 0
        assert abs(make.on_hand(lot) - row.comes_out) <= trifle


def says(answer):
    form = answer.context["form"]
    return form.errors, [row.errors for row in form.rows["uses"]]
