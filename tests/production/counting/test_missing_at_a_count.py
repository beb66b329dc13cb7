"""What is missing at a count: within the word of the scale, or asked about.

What is missing of an alkali went somewhere, and a pot that got too much of it burns
skin: she is asked which.
"""

from decimal import Decimal

import pytest
from django.urls import reverse

from production.batches.reads.may_hold import may_hold
from production.counting.domain import Difference
from production.fitness.domain.reasons import Purpose
from production.fitness.reads import fitness
from production.models import Count, Lot
from production.release.actions.readings import note_measurement
from production.stock.actions.opening_lots import Reading
from production.stock.reads.value import answered_by, worth_of
from tests import make
from tests.make import day
from tests.production.counting.counted import count, page, undo
from tests.production.writing import typed

pytestmark = pytest.mark.django_db


class TestTheBand:
    @pytest.mark.parametrize(
        ("booked", "found", "unit", "asked"),
        [
            ("1000", "995", "g", False),
            ("1000", "994", "g", True),
            ("1000", "1006", "g", True),
            ("50", "49", "g", False),
            ("50", "48.9", "g", True),
            ("0", "2", "g", True),
            ("50", "49", "piece", True),
            ("1000", "995", "piece", False),
        ],
    )
    def test_half_a_percent_or_a_gram_is_the_scale_s_word(
        self, booked, found, unit, asked
    ):
        row = Difference(Decimal(booked), Decimal(found), unit)
        assert row.beyond is asked

    def test_beyond_it_nothing_is_written_without_a_reason(self):
        lot = make.lot("OIL")
        with make.refused("OIL is 30 g less than the 1000 g of the book, 3.0 %"):
            count(lot, "970", reason="")
        with make.refused("OIL is 30 g more"):
            count(lot, "1030", reason=" ")
        count(lot, "996", reason="")
        assert make.on_hand(lot) == 996

    def test_the_page_shows_grams_and_money_before_it_is_written(self, desk):
        make.lot("OIL", price="10.00")
        url = reverse("lot-count", args=["OIL"])
        sent = typed(desk.get(url)) | {"found": "970 g", "reason": "a leak"}
        first = desk.post(url, sent)
        text = " ".join(first.content.decode().split())
        assert "Missing: <span" in text
        assert "Nothing is written yet" in text
        assert "It cost" in text
        assert ">0.30 <small>" in text
        assert "would be written off" in text
        assert not Count.objects.exists()
        assert typed(first)["reason"] == "a leak"
        assert desk.post(url, typed(first)).status_code == 302
        assert make.on_hand(Lot.objects.get()) == 970

    def test_what_is_changed_after_the_look_is_shown_again(self, desk):
        make.lot("OIL")
        url = reverse("lot-count", args=["OIL"])
        sent = typed(desk.get(url)) | {"found": "970 g", "reason": "a leak"}
        shown = typed(desk.post(url, sent)) | {"found": "97 g"}
        assert desk.post(url, shown).status_code == 200
        assert not Count.objects.exists()

    def test_a_price_that_is_missing_is_said_and_never_zero(self, desk):
        make.lot("OIL", price=None)
        url = reverse("lot-count", args=["OIL"])
        sent = typed(desk.get(url)) | {"found": "970 g"}
        assert "a price is missing" in desk.post(url, sent).content.decode()

    def test_within_the_band_it_is_written_at_once(self, desk):
        make.lot("OIL")
        url = reverse("lot-count", args=["OIL"])
        assert desk.post(url, typed(desk.get(url)) | {"found": "999 g"}).url == (
            "/lots/OIL/"
        )

    def test_where_nobody_answers_for_money_it_is_unknown(self):
        from costing.reads import unit_costs

        lot = make.lot()
        try:
            answered_by(lambda lots: {})
            assert worth_of([(lot, Decimal(5))]) == {lot.pk: None}
        finally:
            answered_by(unit_costs)
        assert worth_of([(lot, Decimal(-5))]) == {lot.pk: Decimal("-0.05")}


class TestMissingAlkali:
    """1,000 g of lye flakes are there by the book, and only 900 g in the tub."""

    @pytest.fixture
    def tub(self):
        return make.koh(code="K1", grams="1140")

    @pytest.fixture
    def pot(self, tub):
        value = Reading("saponification value", Decimal(188))
        oil = make.item("rapeseed oil", category="oil")
        oil = make.lot("OIL", item=oil, readings=(value,))
        uses = [(oil, "700"), (tub, "140")]
        return make.batch("cook", uses=uses, makes="paste", amount="840").batch

    def test_it_asks_which_batch_may_have_got_it(self, tub, pot):
        with make.refused("K1 is an alkali", "which batch may have got it"):
            count(tub, "900")

    def test_the_answer_is_kept_and_stands_on_that_batch(self, desk, tub, pot):
        count(tub, "900", batch=pot, reason="the scale hung")
        row = tub.counts.get()
        assert row.batch == pot
        [held] = may_hold(pot)
        assert held.amount == 100
        assert held.with_it < 0 < held.without
        text = page(desk, "batch", pot.code)
        assert "It may hold more alkali than was written" in text
        assert "the scale hung" in text
        assert "That would be lye excess" in text

    def test_what_it_made_waits_for_a_new_check(self, tub, pot):
        """Soap that may hold 100 g more lye is not sold on the test from before."""
        paste = pot.lot
        assert fitness(paste, Purpose.USE, day(9)).fit
        deed = count(tub, "900", batch=pot, reason="the scale hung")
        assert not fitness(paste, Purpose.USE, day(9)).fit
        undo(deed)
        assert fitness(paste, Purpose.USE, day(9)).fit
        count(tub, "900", batch=pot, reason="the scale hung")
        note_measurement(lot=paste, readings=[make.check()], **make.act(9))
        assert fitness(paste, Purpose.USE, day(9)).fit

    def test_taken_back_it_leaves_the_batch(self, desk, tub, pot):
        undo(count(tub, "900", batch=pot))
        assert "may hold more alkali" not in page(desk, "batch", pot.code)

    def test_nobody_may_be_the_answer(self, tub, pot):
        count(tub, "900", nobody=True, reason="spilt on the floor")
        assert tub.counts.get().batch is None

    def test_a_batch_that_used_none_is_no_answer(self, tub, pot):
        other = make.batch(uses=[(make.lot(), "5")]).batch
        with make.refused("used none of potassium hydroxide since the last count"):
            count(tub, "900", batch=other)

    def test_only_batches_since_the_last_count_are_asked_about(self, tub, pot):
        count(tub, "1000")
        count(tub, "900", 5)
        assert tub.counts.last().batch is None

    def test_a_batch_from_another_tub_of_it_may_have_got_it(self, tub, pot):
        other = make.koh(code="K2", grams="500")
        with make.refused("K2 is an alkali"):
            count(other, "400")

    def test_a_lye_made_here_is_an_alkali_whatever_its_name(self, tub):
        water = make.lot(item=make.item("water", category="water"))
        lye = make.batch(
            "preparation", uses=[(tub, "500"), (water, "500")], makes="blue jug"
        )
        oil = make.lot("OIL", item=make.item("rapeseed oil", category="oil"))
        make.batch("cook", uses=[(oil, "700"), (lye, "280")], makes="paste")
        with make.refused("is an alkali"):
            count(lye, "500")

    def test_a_surplus_asks_for_a_reason_alone(self, tub, pot):
        with make.refused("write the reason"):
            count(tub, "1100", reason="")
        count(tub, "1100")

    def test_the_page_lists_them_and_takes_the_answer(self, desk, tub, pot):
        url = reverse("lot-count", args=["K1"])
        sent = typed(desk.get(url)) | {"found": "900 g", "reason": "low"}
        asked = desk.post(url, sent)
        assert f'value="{pot.pk}"' in asked.content.decode()
        assert "say which batch may have got it" in asked.content.decode()
        answered = typed(asked) | {"got": str(pot.pk)}
        assert desk.post(url, answered).status_code == 302
        assert tub.counts.get().batch == pot
