"""Neutrality at the bench: the drop test in full, titration, and never the tongue."""

from decimal import Decimal
from html import unescape

import pytest
from django.urls import reverse

from production.batches.actions.batches import start_batch
from production.chemistry.domain.titration import DROP_TEST
from production.models import Deed, Lot, Measurement
from production.recipes.domain.limits import NewCheck
from production.release.actions.readings import (
    note_measurement,
    note_step,
    record_measurement,
    record_step,
)
from production.stock.actions.opening_lots import Reading
from production.stock.reads.stock import latest_measurement
from tests import make
from tests.make import act
from tests.production.writing import DROP_TEST as NOTED
from tests.production.writing import check, fill, holds, typed

D = Decimal
DAY = "2026-03-02"
# 2.40 mL less 0.05 mL of 0.1 mol/L acid on 10 g, by hand: 0.235 mmol x 56.1053 g/mol
# / 10 g = 0.1318 % KOH.
READ = {
    "sample": "10 g",
    "normality": "0.1",
    "titrant": "2.40",
    "blank": "0.05",
    "on": DAY,
}
FOUND = D("0.001318")


def limited(high="0.001", **facts):
    """A cook whose recipe limits free alkali and pH."""
    checks = [
        NewCheck("free alkali", high=D(high)),
        NewCheck("pH", low=D(9), high=D("10.5")),
    ]
    version = make.version(checks=checks, release="check")
    return make.cook(version=version, code="P1", **facts)


def at(name, code="P1"):
    return reverse(name, args=[code])


def page(answer):
    return unescape(answer.content.decode())


class TestTheMeasurePage:
    @pytest.mark.parametrize("name", ["lot", "batch"])
    def test_the_drop_test_stands_there_in_full_and_titration_beside_it(
        self, desk, name
    ):
        lot = make.cook(code="P1", batch_code="B1")
        code = {"lot": lot.code, "batch": lot.batch.code}[name]
        shown = page(desk.get(at(f"{name}-measure", code)))
        assert all(step in shown for step in DROP_TEST)
        assert at(f"{name}-titrate", code) in shown
        assert "Titrate instead" in shown

    def test_another_reading_has_no_need_of_it(self, desk):
        make.cook(code="P1")
        shown = page(desk.get(at("lot-measure") + "?what=pH"))
        assert DROP_TEST[2] not in shown

    def test_the_limits_of_the_recipe_are_said(self, desk):
        lot = limited()
        says = "Limits of the recipe: free alkali up to 0.1 %; pH 9 to 10.5."
        assert says in page(desk.get(at("lot-measure")))
        assert says in page(desk.get(at("batch-measure", lot.batch.code)))

    def test_a_value_outside_them_is_not_passed(self, desk):
        limited()
        reading = {"what": "pH", "value": "11", "passed": "", "method": ""}
        check(desk, at("lot-measure"), on=DAY, **reading)
        assert Measurement.objects.get(what="pH").passed is False

    def test_a_note_of_a_test_by_tongue_is_refused(self, desk):
        make.cook(code="P1")
        bad = {"note": "zap test, nothing"}
        good = NOTED | {"note": "colourless"}
        url = f"{at('lot-measure')}?on={DAY}"
        holds(desk, url, good, bad, "never tested by tongue")


@pytest.mark.django_db
class TestTheBook:
    @pytest.mark.parametrize("note", ["tongue test passed", "No zap.", "tasted it"])
    def test_no_reading_and_no_step_speaks_of_it(self, note):
        paste = make.cook()
        with make.refused("never tested by tongue", "titrate"):
            reading = Reading("neutrality", passed=True, note=note)
            note_measurement(lot=paste, readings=[reading], **act())
        with make.refused("never tested by tongue"):
            note_step(batch=paste.batch, text=note, **act())

    def test_an_earlier_book_keeps_its_words_and_not_its_verdict(self):
        paste = make.cook()
        said = Reading("neutrality", note="zap test, nothing")
        record_measurement(lot=paste, readings=[said], **act())
        record_step(batch=paste.batch, text="zap test, nothing", **act())
        failed = Reading("neutrality", passed=False, note="zapped")
        record_measurement(lot=paste, readings=[failed], **act())
        with make.refused("passed by tongue", "without the verdict"):
            passed = Reading("neutrality", passed=True, note="no zap")
            record_measurement(lot=paste, readings=[passed], **act())


class TestTitration:
    def test_it_is_noted_with_how_it_was_read(self, desk):
        make.cook(code="P1")
        url = f"{at('lot-titrate')}?on={DAY}"
        good = READ | {"sampled": "after"}
        holds(desk, url, good, {"blank": "3"}, "The blank took 3 mL")
        row = Measurement.objects.get(what="free alkali")
        assert (row.what, row.value, row.passed) == ("free alkali", FOUND, True)
        assert (row.method, row.sampled) == ("titration", "after")
        assert row.note == (
            "as KOH; 2.4 mL of 0.1 mol/L acid on 10 g, blank 0.05 mL, phenolphthalein"
        )

    def test_of_an_open_batch(self, desk):
        batch = start_batch(stage="cook", code="B1", **act())
        fill(desk, at("batch-titrate", "B1"), **READ)
        assert batch.measurements.get(what="free alkali").value == FOUND

    @pytest.mark.parametrize(("high", "passed"), [("0.001", False), ("0.0014", True)])
    def test_the_limit_of_the_recipe_judges(self, desk, high, passed):
        limited(high)
        shown = desk.get(at("lot-titrate"))
        assert "neutral" not in typed(shown)
        assert "Limit of the recipe" in page(shown)
        fill(desk, f"{at('lot-titrate')}?on={DAY}", sampled="after", **READ)
        [row] = Measurement.objects.filter(what="free alkali")
        assert (row.what, row.passed) == ("free alkali", passed)
        status = Lot.objects.with_status().get(code="P1").status
        assert status == ("released" if passed else "quarantine")

    def test_without_a_recipe_the_house_judges(self, desk):
        # 3.00 mL less 0.05 mL: 0.1655 % as KOH, above 0.14 % (SNI 06-3532-1994).
        make.cook(code="P1")
        assert "Limit of the house" in page(desk.get(at("lot-titrate")))
        url = f"{at('lot-titrate')}?on={DAY}"
        fill(desk, url, **(READ | {"titrant": "3.00", "sampled": "after"}))
        assert Measurement.objects.get(what="free alkali").passed is False

    def test_it_is_worked_out_before_anything_is_written(self, desk):
        # 900 g x 0.131847 % = 1.18663 g KOH; / 0.876084 = 1.354 g of dry citric acid
        # (3 x 56.1053 / 192.123 g KOH to 1 g).
        make.cook(code="P1", amount="900")
        sent = typed(desk.get(at("lot-titrate"))) | READ
        sent |= {"work_out": "yes", "sampled": "after"}
        deeds = Deed.objects.count()
        shown = page(desk.post(at("lot-titrate"), sent))
        assert "0.132 % free alkali as KOH" in shown
        assert "(2.4 \N{MINUS SIGN} 0.05) mL" in shown
        assert "1.35" in shown
        assert "Add half of it" in shown
        assert "Goggles on" in shown
        assert Deed.objects.count() == deeds

    def test_nothing_found_asks_for_no_acid(self, desk):
        make.cook(code="P1")
        sent = typed(desk.get(at("lot-titrate"))) | READ
        sent |= {"titrant": "0", "blank": "", "work_out": "yes", "sampled": "after"}
        shown = page(desk.post(at("lot-titrate"), sent))
        assert "The acid found none." in shown
        assert "citric" not in shown

    def test_standards_are_named_for_orientation(self, desk):
        make.cook(code="P1")
        shown = page(desk.get(at("lot-titrate")))
        assert "SNI 06-3532-1994" in shown
        assert "belongs to the product that its standard names" in shown

    def test_more_alkali_than_soap_is_a_slip(self, desk):
        make.cook(code="P1")
        sent = typed(desk.get(at("lot-titrate"))) | READ
        sent |= {"sample": "1 mg", "sampled": "after"}
        assert "more alkali than soap" in page(desk.post(at("lot-titrate"), sent))


class TestATubOfAlkali:
    """5.00 g of flakes in 250 mL, 25 mL of that takes 8.02 mL of normal acid:
    8.02 mmol x 56.1053 g/mol on 0.5 g is 89.993 % KOH, carbonate half counted."""

    FLAKES = {
        "sample": "5.00 g",
        "made_up": "250",
        "taken": "25",
        "normality": "1",
        "titrant": "8.02",
        "on": "2026-03-04",
    }

    def test_its_purity_is_restated(self, desk):
        tub = make.koh(purity="0.85")
        shown = page(desk.get(at("alkali-titrate", "K1")))
        assert "Goggles and gloves before the tub is opened" in shown
        assert "85" in shown
        bad = {"taken": "300"}
        says = "cannot be taken out of 250 mL"
        holds(desk, at("alkali-titrate", "K1"), self.FLAKES, bad, says)
        row = latest_measurement(tub, "purity")
        assert (row.value, row.basis) == (D("0.899929"), "measured")
        assert row.note == "titrated: 8.02 mL of 1 mol/L acid on 5 g, 25 of 250 mL"

    def test_a_second_end_point_restates_the_carbonate(self, desk):
        tub = make.koh()
        fill(desk, at("alkali-titrate", "K1"), **self.FLAKES, second="8.12")
        # 0.1 mmol more: 0.1 x 138.2046 mg on 500 mg is 2.764 % of K2CO3; the hydroxide
        # is 8.02 - 0.1 = 7.92 mmol, 88.871 %.
        assert latest_measurement(tub, "carbonate").value == D("0.027641")
        assert latest_measurement(tub, "purity").value == D("0.888708")

    def test_it_is_worked_out_first(self, desk):
        make.koh()
        sent = typed(desk.get(at("alkali-titrate", "K1"))) | self.FLAKES
        shown = page(desk.post(at("alkali-titrate", "K1"), sent | {"work_out": "1"}))
        assert "89.993 % KOH" in shown
        assert "Half of any carbonate" in shown
        assert not Measurement.objects.filter(basis="measured").exists()

    def test_more_than_the_whole_is_refused(self, desk):
        make.koh()
        sent = typed(desk.get(at("alkali-titrate", "K1"))) | self.FLAKES
        shown = page(desk.post(at("alkali-titrate", "K1"), sent | {"titrant": "10"}))
        assert "112.21 % KOH, more than the whole" in shown

    def test_it_is_never_read_as_soap_nor_soap_as_a_tub(self, desk):
        make.koh()
        make.cook(code="P1")
        answer = desk.post(at("lot-titrate", "K1"), READ, follow=True)
        assert answer.redirect_chain[0][0] == at("alkali-titrate", "K1")
        assert "K1 is potassium hydroxide and no soap" in page(answer)
        assert not Measurement.objects.filter(what="free alkali").exists()
        answer = desk.get(at("alkali-titrate"), follow=True)
        assert answer.redirect_chain[0][0] == at("lot-titrate")
        assert at("alkali-titrate", "K1") in page(desk.get("/lots/K1/"))
