"""The superfat of what is typed stands on the page before it is posted, and after.

Rapeseed oil of 190 mg KOH per g by its lot's certificate, potash of 90 %: 1 kg of oil
takes 211.1 g; 290 g of it are 37.37 % more than the fat takes (worked by hand).
"""

from decimal import Decimal
from html import unescape

import pytest
from django.urls import reverse

from production.batches.actions.batches import start_batch, use_lots
from production.batches.actions.new_batch import Use
from production.models import Batch, Deed, Lot
from production.stock.actions.opening_lots import Reading
from tests import make
from tests.once import remembered
from tests.production import craft_morning as bench
from tests.production.writing import typed

DAY = "2026-03-02"
TUB = "potassium hydroxide, 90 %, lot K1"
EXCESS = "-37.37 %"


@pytest.fixture
@remembered
def shelf(owner):
    sv = Reading("saponification value", Decimal(190), "stated")
    oil = make.item("rapeseed oil", category="oil")
    make.lot("OIL", grams="5000", item=oil, readings=(sv,))
    make.koh(code="K1")
    return make.item("paste", kind="made")


def rows(potash="290 g", **more):
    return {
        "uses-0-lot": "OIL",
        "uses-0-amount": "1000 g",
        "uses-1-lot": "K1",
        "uses-1-amount": potash,
        "uses-1-read": TUB,
        "on": DAY,
        **more,
    }


def cooked(shelf, potash="290 g", **more):
    made = {"item": str(shelf.pk), "amount": "1290 g", "lot_code": "P1"}
    return rows(potash, **made | more)


def url(stage="cook"):
    return reverse("batch-run", args=[stage])


def said(answer):
    return " ".join(unescape(answer.content.decode()).split())


class TestBeforePosting:
    def test_the_page_offers_it_and_writes_nothing(self, desk, shelf):
        sent = typed(desk.get(url())) | rows()
        before = Deed.objects.count()
        page = said(desk.post(url(), sent | {"show-superfat": "yes"}))
        assert EXCESS in page
        assert "oleic acid" in page
        assert "test again" in page
        assert "is required" not in page
        assert Deed.objects.count() == before

    def test_what_was_typed_is_still_there(self, desk, shelf):
        sent = typed(desk.get(url())) | cooked(shelf)
        answer = desk.post(url(), sent | {"show-superfat": "yes"})
        kept = typed(answer)
        assert {name: kept[name] for name in sent} == sent

    def test_the_same_comes_alone_while_one_types(self, desk, shelf):
        where = reverse("run-superfat", args=["cook"])
        page = said(desk.post(where, typed(desk.get(url())) | rows("206.9 g")))
        assert "superfat of what was weighed is 1.99 %" in page
        assert "<html" not in page

    def test_a_row_that_is_not_understood_is_said_to_be_left_out(self, desk, shelf):
        where = reverse("run-superfat", args=["cook"])
        sent = typed(desk.get(url())) | rows()
        page = said(desk.post(where, sent | {"uses-0-amount": "a lot"}))
        assert "left out here" in page

    def test_an_honest_cook_posts_directly(self, desk, shelf):
        sent = typed(desk.get(url())) | cooked(shelf, "206.9 g", amount="1206.9 g")
        assert desk.post(url(), sent).status_code == 302

    def test_a_lye_excess_is_refused_once_and_written_with_a_reason(self, desk, shelf):
        sent = typed(desk.get(url())) | cooked(shelf)
        page = said(desk.post(url(), sent))
        assert EXCESS in page
        assert not Batch.objects.exists()
        assert desk.post(url(), sent | {"reason": "misread"}).status_code == 302
        assert Lot.objects.with_status().get(code="P1").status == "quarantine"

    def test_potash_in_a_finishing_shows_what_it_does(self, desk, shelf):
        sent = typed(desk.get(url("finishing"))) | rows()
        assert EXCESS in said(desk.post(url("finishing"), sent))

    def test_soap_without_alkali_is_left_in_peace(self, desk, shelf):
        page = desk.get(url("filling")).content.decode()
        assert "Show the superfat" not in page

    def test_the_recipe_stands_beside_what_is_typed(self, desk, shelf):
        version = make.version(superfat=Decimal("0.02"))
        where = f"{reverse('run-superfat', args=['cook'])}?version={version.pk}"
        page = said(desk.post(where, typed(desk.get(url())) | rows()))
        assert "By the recipe" in page
        assert "206.9" in page
        assert "83.11 g more" in page


class TestDayByDay:
    def test_an_open_batch_counts_what_went_in_before(self, desk, shelf):
        batch = start_batch(stage="cook", code="B1", **make.act(2))
        oil = Lot.objects.get(code="OIL")
        use = Use(lot=oil, amount=Decimal(1000))
        use_lots(batch=batch, uses=[use], **make.act(2))
        sent = typed(desk.get(reverse("batch-use", args=["B1"])))
        sent |= {"uses-0-lot": "K1", "uses-0-amount": "290 g", "on": DAY}
        page = said(desk.post(reverse("batch-superfat", args=["B1"]), sent))
        assert EXCESS in page

    def test_a_craft_day_shows_potash_that_the_soap_takes_up(self, desk):
        bench.set_out()
        make.koh(code="K1", grams="500")
        asked = f"{reverse('day')}?paste=PASTE-1&amount=3+kg&dilution=&finishing="
        sent = typed(desk.get(asked)) | {"water": "tap water", "water_amount": "6000"}
        sent |= {"additions-0-lot": "K1", "additions-0-amount": "20 g"}
        sent |= {"additions-0-of": "", "additions-0-wanted": ""}
        where = reverse("day-superfat")
        page = said(desk.post(f"{where}?{asked.split('?')[1]}", sent))
        assert "What was weighed" in page
        assert "saponification value" in page

    def test_several_scents_answer_too(self, desk):
        assert desk.post(reverse("scents-superfat"), {"on": DAY}).status_code == 200


class TestEverAfter:
    @pytest.fixture
    def excess(self, desk, shelf):
        sent = typed(desk.get(url())) | cooked(shelf, reason="misread")
        desk.post(url(), sent)
        return Lot.objects.get(code="P1")

    def test_the_batch_page_shows_it(self, desk, excess):
        page = said(desk.get(excess.batch.get_absolute_url()))
        assert "Lye excess." in page
        assert EXCESS in page
        assert "would bring it to a superfat of 2 %" in page
        assert "test again" in page

    def test_the_lot_page_says_it_and_leads_there(self, desk, excess):
        page = said(desk.get(excess.get_absolute_url()))
        assert EXCESS in page
        assert f"{excess.batch.get_absolute_url()}#weighed" in page

    def test_a_good_batch_shows_its_superfat_with_its_range(self, desk, shelf):
        sent = typed(desk.get(url())) | cooked(shelf, "206.9 g", amount="1206.9 g")
        desk.post(url(), sent)
        lot = Lot.objects.get(code="P1")
        page = said(desk.get(lot.batch.get_absolute_url()))
        assert "The superfat of what was weighed is 1.99 %" in page
        assert "At the very ends" in page
        assert "Lye excess" not in said(desk.get(lot.get_absolute_url()))
