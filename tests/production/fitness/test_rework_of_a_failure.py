"""A lot that failed leads to rework with its code filled in, never its amount."""

import pytest
from django.urls import reverse

from production.release.actions.statuses import reject_lot
from tests import make
from tests.once import remembered

REWORK = "/batches/run/rework/?lot=P1"


@pytest.fixture
@remembered
def failed(owner):
    return make.cook(code="P1", readings=[make.check(passed=False)])


def test_a_failed_paste_leads_to_its_rework(desk, failed):
    assert REWORK in desk.get(failed.get_absolute_url()).content.decode()


def test_so_does_a_rejected_lot(desk, failed):
    reject_lot(lot=failed, reason="burnt", **make.act(3))
    assert REWORK in desk.get(failed.get_absolute_url()).content.decode()


def test_its_code_stands_in_the_first_row_and_its_amount_is_weighed(desk, failed):
    page = desk.get(reverse("batch-run", args=["rework"]), {"lot": "P1"})
    first = page.context["form"].rows["uses"][0]
    assert first["lot"].value() == "P1"
    assert not first["amount"].value()


def test_no_other_stage_takes_a_lot_from_the_address(desk, failed):
    page = desk.get(reverse("batch-run", args=["filling"]), {"lot": "P1"})
    assert not page.context["form"].rows["uses"][0]["lot"].value()
