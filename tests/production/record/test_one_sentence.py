"""The doors that speak of one lot say the same: page, command, deed, label."""

import json
from html import unescape
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from production.fitness.domain.reasons import Purpose
from production.fitness.reads import fitness
from production.quantities.domain.refusal import Refused
from production.release.actions.readings import note_measurement
from production.release.actions.statuses import hold_lot
from tests import make
from tests.make import act, day
from tests.once import remembered

pytestmark = pytest.mark.django_db


def asked(*words):
    out = StringIO()
    call_command("fit", *words, stdout=out)
    return out.getvalue()


@pytest.fixture
@remembered
def bottle():
    """Filled soap of which a check failed after it was released."""
    lot = make.filled("HS-1")
    note_measurement(lot=lot, readings=[make.check(False)], **act(4))
    return lot


def test_page_command_sale_and_label_say_the_same(desk, bottle):
    told = json.loads(asked("HS-1", "--for", "sale", "--on", "2026-03-05", "--json"))
    [reason] = told["reasons"]
    assert told["fit"] is False
    assert reason["who_can_lift"] == "anybody"
    assert "failed on 2026-03-04" in reason["says"]
    page = unescape(desk.get(reverse("lot", args=["HS-1"])).content.decode())
    assert reason["says"] in page
    with pytest.raises(Refused) as refused:
        make.sale(bottle, on=day(5))
    assert str(refused.value) == reason["says"]
    label = unescape(desk.get(reverse("lot-label", args=["HS-1"])).content.decode())
    assert reason["says"] in label


def test_what_is_fit_says_so(bottle):
    note_measurement(lot=bottle, readings=[make.check()], **act(5))
    told = json.loads(asked("HS-1", "--for", "sale", "--on", "2026-03-05", "--json"))
    assert told == {"fit": True, "reasons": []}
    assert "fit for sale on 2026-03-05" in asked(
        "HS-1", "--for", "sale", "--on", "2026-03-05"
    )


def test_a_day_that_is_none_is_refused(bottle):
    with pytest.raises(CommandError, match="write it like 2026-01-31"):
        asked("HS-1", "--on", "tomorrow")


def test_who_can_lift_it_is_told(bottle):
    hold_lot(lot=bottle, **act(5, reason="a rash"))
    told = json.loads(asked("HS-1", "--for", "gift", "--on", "2026-03-06", "--json"))
    assert [reason["who_can_lift"] for reason in told["reasons"]] == [
        "owner",
        "anybody",
    ]


@pytest.mark.parametrize("purpose", ["use", "sale", "gift", "label"])
def test_a_question_costs_the_same_however_long_the_family(purpose):
    few = many = 0
    lot = make.filled("HS-1")
    with CaptureQueriesContext(connection) as caught:
        fitness(lot, Purpose(purpose), day(5))
    few = len(caught)
    soap = make.proven(grams="90000", item=make.item("diluted soap", kind="made"))
    for _ in range(12):
        soap = make.batch("rework", uses=[(soap, "100")], amount="100", makes="soap")
    with CaptureQueriesContext(connection) as caught:
        fitness(soap, Purpose(purpose), day(5))
    many = len(caught)
    assert few == many <= 9
