"""The page on which a check is noted: nothing is preset, nothing typed is lost."""

from decimal import Decimal as D
from html import unescape

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from production.models import Measurement
from production.release.actions.readings import note_measurement
from production.stock.actions.opening_lots import Reading
from tests import make
from tests.once import remembered
from tests.production.release.test_checks import paste
from tests.production.writing import DROP_TEST, check, holds, typed

DAY = "2026-03-04"
SAME_DAY = str(make.DAY)
WHAT_IS_DANGEROUS = ("passed", "method", "counted_as")


def url(lot="P1", **asked):
    query = "&".join(f"{name}={value}" for name, value in asked.items())
    return reverse("lot-measure", args=[lot]) + (f"?{query}" if query else "")


def said(answer):
    return unescape(answer.content.decode())


@pytest.fixture
@remembered
def p1(db):
    return paste()


@pytest.fixture
def sent(desk, p1):
    """What a browser sends of the open page on a later day."""
    return typed(desk.get(url())) | {"on": DAY}


def test_nothing_of_a_check_is_preset(desk, p1):
    sent = typed(desk.get(url(on=SAME_DAY)))
    assert [sent[name] for name in WHAT_IS_DANGEROUS] == [""] * 3
    assert (sent["spots"], sent["sampled"]) == ([], "")


def test_one_form_notes_method_spots_and_verdict(desk, p1):
    good = {"passed": "yes", "method": "drop test", "spots": ["top", "wall"], "on": DAY}
    holds(desk, url(), good, {"method": ""}, "Say how it was tested")
    row = Measurement.objects.get(what="neutrality")
    assert (row.passed, row.method, row.where) == (True, "drop test", "top, wall")


def test_a_drop_test_names_two_spots_at_least(desk, sent):
    one = sent | {"passed": "yes", "method": "drop test", "spots": ["top"]}
    assert "Name the spots that were tested" in said(desk.post(url(), one))
    two = one | {"where": "under the lid"}
    assert desk.post(url(), two).status_code == 302
    assert Measurement.objects.latest("pk").where == "top, under the lid"


class TestWhichCameFirst:
    def test_it_is_asked_on_a_day_of_use_only(self, desk, p1):
        assert "sampled" not in typed(desk.get(url(on=DAY)))
        assert "sampled" in typed(desk.get(url(on=SAME_DAY)))
        titrate = reverse("lot-titrate", args=["P1"])
        assert "sampled" in typed(desk.get(f"{titrate}?on={SAME_DAY}"))
        assert "sampled" not in typed(desk.get(titrate))

    def test_not_of_a_temperature(self, desk, p1):
        page = desk.get(url(on=SAME_DAY, what="temperature"))
        assert "sampled" not in typed(page)

    def test_the_answer_is_kept(self, desk, sent, p1):
        late = sent | DROP_TEST | {"on": SAME_DAY, "sampled": ""}
        refused = desk.post(url(), late)
        assert "Say whether the sample was taken after" in said(refused)
        assert "sampled" in typed(refused)
        answer = desk.post(url(), late | {"sampled": "before"})
        assert answer.status_code == 302
        assert Measurement.objects.latest("pk").sampled == "before"
        assert "sampled before something went in" in said(desk.get("/lots/P1/"))


class TestAFigure:
    FOUND = {"what": "free alkali", "value": "0.1 %", "counted_as": "NaOH"}

    def test_it_is_kept_as_koh_with_what_was_typed(self, desk, sent):
        found = sent | self.FOUND | {"method": "titration"}
        assert desk.post(url(), found).status_code == 302
        row = Measurement.objects.get(what="free alkali")
        assert (row.value, row.passed) == (D("0.001403"), True)
        assert row.note == "0.1 % as NaOH"

    def test_it_says_how_it_is_counted_and_where_from(self, desk, sent):
        bare = sent | self.FOUND | {"counted_as": "", "method": ""}
        shown = said(desk.post(url(), bare))
        assert "counted as KOH or NaOH" in shown
        assert "Say how it was tested" in shown

    def test_a_neutrality_check_by_titration_is_its_figure(self, desk, sent):
        found = sent | {"method": "titration", "value": "0.05 %", "counted_as": "KOH"}
        assert desk.post(url(), found).status_code == 302
        row = Measurement.objects.get(value=D("0.0005"))
        assert (row.what, row.passed, row.method) == ("free alkali", True, "titration")

    def test_a_laboratory_comes_with_its_paper(self, desk, sent):
        found = sent | self.FOUND | {"method": "laboratory"}
        assert "Name the paper" in said(desk.post(url(), found))
        assert desk.post(url(), found | {"where": "report 7"}).status_code == 302

    def test_passed_over_2_percent_is_refused_with_both_figures(self, desk, db):
        paste(code="P2")
        found = typed(desk.get(url("P2"))) | self.FOUND
        found |= {"on": DAY, "method": "titration", "passed": "yes", "value": "2"}
        shown = said(desk.post(url("P2"), found | {"counted_as": "KOH"}))
        assert "2 % free alkali as KOH is above the limit of 0.14 %" in shown

    def test_below_zero_is_refused_with_the_figure(self, desk, sent):
        found = sent | self.FOUND | {"method": "titration", "value": "-0.2 %"}
        assert "-0.2 % free alkali is less than none" in said(desk.post(url(), found))

    def test_a_supplier_speaks_of_what_was_bought_only(self, desk, p1):
        make.lot("B1", item=make.item("bought paste", category="soap"))
        made = desk.get(url()).context["form"].fields["method"]
        bought = desk.get(url("B1")).context["form"].fields["method"]
        assert "supplier" not in dict(made.choices)
        assert "supplier" in dict(bought.choices)
        paper = {"method": "supplier", "where": "CoA 9", "passed": "", "spots": []}
        check(desk, url("B1"), **self.FOUND | paper)
        row = Measurement.objects.get(method="supplier")
        assert (row.basis, row.where, row.passed) == ("stated", "CoA 9", True)


class TestPH:
    def test_passed_is_refused_and_the_drop_test_offered(self, desk, sent):
        shown = said(
            desk.post(url(), sent | {"what": "pH", "value": "10", "passed": "yes"})
        )
        assert "pH alone passes nothing" in shown
        assert "?what=neutrality" in shown

    def test_a_low_one_is_asked_about_by_a_tick(self, desk, sent):
        low = sent | {"what": "pH", "value": "6.9"}
        shown = desk.post(url(), low)
        assert "pH 6.9 is below 8" in said(shown)
        assert typed(shown)["low_ph"] == ""
        assert desk.post(url(), low | {"low_ph": "on"}).status_code == 302
        assert Measurement.objects.get(what="pH").passed is None

    def test_water_may_be_as_low_as_it_is(self, desk, db):
        make.lot("W1", item=make.item("water", category="water"))
        form = typed(desk.get(url("W1"))) | {"what": "pH", "value": "6", "on": DAY}
        assert desk.post(url("W1"), form).status_code == 302


def test_a_craft_day_asks_for_the_method_too(desk):
    from tests.production import craft_morning as bench

    bench.set_out()
    day = reverse("day") + "?paste=PASTE-1&amount=3+kg"
    sent = typed(desk.get(day)) | {
        "finished_amount": "9560 g",
        "fillings-0-pieces": "38",
        "on": "2026-03-03",
        "check": "passed",
    }
    shown = said(desk.post(day, sent))
    assert "Say how it was tested" in shown
    found = {"check": "", "check_method": "titration", "check_found": "3 %"}
    shown = said(desk.post(day, sent | found))
    assert "did not pass its check" in shown
    answer = desk.post(day, sent | found | {"check_found": "0.02 %"})
    assert answer.status_code == 302
    row = Measurement.objects.get(value=D("0.0002"))
    assert (row.what, row.passed, row.method) == ("free alkali", True, "titration")


def test_a_titration_asks_a_fixed_number_of_queries(desk, p1):
    """At most ten more than a temperature asks: the closure costs what it finds."""
    spent = {}
    for what, value in (("temperature", D(60)), ("free alkali", D("0.0001"))):
        reading = Reading(what, value)
        with CaptureQueriesContext(connection) as asked:
            note_measurement(lot=p1, readings=[reading], **make.act(4))
        spent[what] = len(asked)
    assert spent["free alkali"] - spent["temperature"] <= 10, spent
