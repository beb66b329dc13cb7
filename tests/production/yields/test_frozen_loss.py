"""What a batch may lose is known when it begins, and stays so.

What the maker expects: the loss is learnt from the last batches of the recipe; once a
batch is begun it keeps that figure, whatever later ones lose. A loss rate that is
edited afterwards must not cost old batches anew (IAS 2.16 needs a normal loss that is
known beforehand: from memory).
"""

from decimal import Decimal as D

import pytest
from django.urls import reverse

from costing.reads import whole_book
from production.models import Batch
from production.recipes.reads.experience import median_losses
from production.yields.reads import outturn
from tests import make
from tests.production.writing import fill, typed
from tests.production.yields.test_experience import dilution, learnt, thin

pytestmark = pytest.mark.django_db


def cost(lot):
    return whole_book().valuation.lots[lot.code].unit_cost


def test_a_planned_batch_keeps_the_loss_that_was_learnt_by_then(desk):
    version = dilution(loss=D("0.01"))
    for made in ("900", "900", "900"):
        thin(version, made)
    paste = make.proven("P1", grams="1000", item=make.item("paste", kind="made"))
    make.item("tap water", category="water", on_tap=True)
    page = f"{reverse('batch-run', args=['dilution'])}?version={version.pk}"
    sent = typed(desk.get(page)) | {
        "uses-0-lot": paste.code,
        "uses-0-amount": "1000 g",
        "uses-1-lot": "tap water",
        "uses-1-amount": "1000 g",
        "amount": "1700",
        "lot_code": "D9",
        "lost_as": "spill",
        "reason": "a ladle went over",
        "on": "2026-03-02",
    }
    answer = desk.post(page, sent)
    assert answer.status_code == 302, answer.context["form"].errors
    batch = Batch.objects.get(lot__code="D9")
    assert batch.loss == D("0.1")
    # 2,000 g in, 1,800 g expected; 100 g are short of it, and an expense.
    before = outturn(batch), cost(batch.lot)
    assert before[0].expected == 1800
    for made in ("500", "500", "500", "500", "500"):
        thin(version, made, on=9, reason="spoilt")
    assert learnt(version).median > D("0.4")
    batch.refresh_from_db()
    assert (outturn(batch), cost(batch.lot)) == before


def test_a_batch_that_is_begun_open_keeps_it_too(desk):
    version = dilution(loss=D("0.01"))
    thin(version, "900")
    fill(
        desk,
        reverse("batch-start"),
        stage="dilution",
        version=version.pk,
        code="B9",
        on="2026-03-03",
    )
    batch = Batch.objects.get(code="B9")
    assert (batch.loss, batch.follows) == (D("0.1"), True)
    thin(version, "700", on=9, reason="spoilt")
    assert median_losses([version.formula])[version.formula_id].median == D("0.2")
    batch.refresh_from_db()
    assert batch.loss == D("0.1")


def test_the_first_batch_goes_by_the_recipe(desk):
    version = dilution(loss=D("0.01"))
    fill(
        desk,
        reverse("batch-start"),
        stage="dilution",
        version=version.pk,
        code="B9",
        on="2026-03-03",
    )
    assert Batch.objects.get(code="B9").loss is None


def test_what_somebody_expects_comes_first(desk):
    version = dilution(loss=D("0.01"))
    thin(version, "900")
    fill(
        desk,
        reverse("batch-start"),
        stage="dilution",
        version=version.pk,
        code="B9",
        expected="500",
        on="2026-03-03",
    )
    batch = Batch.objects.get(code="B9")
    assert (batch.loss, batch.expected) == (None, 500)
