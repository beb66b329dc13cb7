"""A restored book on its pages: the band, the question, the form, what it says."""

import re

import pytest
from django.urls import reverse

from production.fitness.domain.reasons import Mends
from production.models import (
    Batch,
    CodeSeries,
    Deed,
    Sale,
    SinceBackup,
)
from production.record.actions.again import written_again
from tests import make
from tests.production.restoring.restored_book import answer, code, restore, soap_of, why

pytestmark = pytest.mark.django_db


class TestThePages:
    def form(self, desk, **typed):
        page = desk.get(reverse("restored"))
        rows = {"since-TOTAL_FORMS": "4", "since-INITIAL_FORMS": "0"}
        return {
            "key": page.context["form"]["key"].value(),
            "on": "2026-03-06",
            **rows,
            **typed,
        }

    def send(self, desk, **typed):
        return desk.post(reverse("restored"), self.form(desk, **typed))

    def test_the_start_page_asks_first_of_all(self, desk):
        make.filled("F1")
        assert "as of" not in desk.get(reverse("start")).content.decode()
        restore()
        page = desk.get(reverse("start")).content.decode()
        assert "This book stands as of 2026-03-02 at 14:10" in page
        assert f'href="{reverse("restored")}">Say what happened since' in page
        answer()
        assert "as of" not in desk.get(reverse("start")).content.decode()

    def test_a_maker_sees_the_sentence_and_no_form(self, client):
        make.filled("F1")
        restore()
        client.force_login(make.maker())
        page = client.get(reverse("restored")).content.decode()
        assert "Only an owner answers" in page
        assert "no_codes" not in page
        start = client.get(reverse("start")).content.decode()
        assert "nothing with alkali or soap in it is sold" in start

    def test_nothing_is_preset_and_silence_is_no_answer(self, desk):
        restore()
        page = desk.get(reverse("restored")).content.decode()
        assert not re.search(r"<input[^>]* checked|<option[^>]*selected>\w+ ", page)
        answered = self.send(desk)
        assert answered.status_code == 200
        words = answered.content.decode()
        assert "Write each code that you find, or tick that there is none." in words
        assert "tick that there is nothing else" in words
        assert not SinceBackup.objects.exists()

    def test_none_and_nothing_else(self, desk):
        restore()
        assert self.send(desk, no_codes="on", none_else="on").status_code == 302
        assert SinceBackup.objects.get().deed.by == make.owner()

    def test_codes_and_a_tick_that_there_is_none_contradict(self, desk):
        restore()
        answered = self.send(desk, codes="TIDE 8OZ 1", no_codes="on", none_else="on")
        assert "which is it?" in answered.content.decode()

    def test_codes_rows_and_all(self, desk):
        lot = make.filled("F1")
        restore()
        highest = code(9)
        rows = {
            "since-0-of": "f1",
            "since-0-what": "failed",
            "since-0-day": "2026-03-04",
            "since-0-words": "pink",
        }
        codes = f"{highest.lower()}\nS-4, TIDE 8OZ 7"
        typed = {"codes": codes, "confirmed": "on", "none_else": "on", **rows}
        assert self.send(desk, **typed).status_code == 302
        said = SinceBackup.objects.get()
        assert said.codes.splitlines() == [highest, "S-4", "TIDE 8OZ 7"]
        assert why(lot) == [Mends.FAILED]
        assert highest in desk.get(reverse("restored")).content.decode()

    def test_half_a_row_is_asked_for(self, desk):
        make.filled("F1")
        restore()
        rows = {"since-0-of": "F1", "since-0-what": "held"}
        words = self.send(desk, no_codes="on", none_else="on", **rows).content.decode()
        assert "Write the day on which it happened." in words
        assert "Write why it was held." in words

    def test_a_misread_code_is_confirmed_by_a_tick(self, desk):
        restore()
        typed = self.form(desk, codes="H5GX-V", none_else="on")
        words = desk.post(reverse("restored"), typed).content.decode()
        assert "does not fit" in words
        assert 'type="checkbox" name="confirmed"' in words
        answered = desk.post(reverse("restored"), {**typed, "confirmed": "on"})
        assert answered.status_code == 302

    def test_a_code_found_later_is_added_on_the_page(self, desk):
        restore()
        self.send(desk, no_codes="on", none_else="on")
        page = desk.get(reverse("restored")).content.decode()
        assert "Add these codes" in page
        assert "none_else" not in page
        empty = self.form(desk, codes="")
        assert desk.post(reverse("restored"), empty).status_code == 200
        typed = self.form(desk, codes="S-9")
        for _ in range(2):
            assert desk.post(reverse("restored"), typed).status_code == 302
        assert CodeSeries.objects.get(name="sale").last == 9
        assert SinceBackup.objects.count() == 2

    def test_a_double_click_is_one_answer(self, desk):
        restore()
        typed = self.form(desk, no_codes="on", none_else="on")
        for _ in range(2):
            assert desk.post(reverse("restored"), typed).status_code == 302
        assert SinceBackup.objects.count() == 1

    def test_a_code_in_the_gap_is_ticked_on_any_page(self, desk):
        restore()
        true = code(3)
        answer(codes=[code(9)])
        url = reverse("batch-start")
        form = desk.get(url).context["form"]
        typed = {"key": form["key"].value(), "on": "2026-03-03", "stage": "cook"}
        typed["code"] = f"B-{true}"
        words = desk.post(url, typed).content.decode()
        assert "was given out after the backup" in words
        assert 'type="checkbox" name="again"' in words
        assert desk.post(url, {**typed, "again": "on"}).status_code == 302
        assert Batch.objects.get(code=f"B-{true}")

    def test_the_pages_of_the_lot_and_of_the_trace_say_so(self, desk):
        make.filled("F1")
        restore()
        page = desk.get(reverse("lot", args=["F1"])).content.decode()
        assert "restored from a backup" in page
        assert f'href="{reverse("restored")}"' in page
        page = desk.get(f"{reverse('trace')}?lot=F1").content.decode()
        assert "stands as it was on 2026-03-02 at 14:10" in page

    def test_the_history_leads_to_it(self, desk):
        restore()
        answer()
        page = desk.get(reverse("history")).content.decode()
        assert f'<a href="{reverse("restored")}">backup of 2026-03-02</a>' in page
        assert Deed.objects.filter(verb="say what happened since a backup").exists()

    def test_a_book_never_restored_has_nothing_to_say(self, desk):
        page = desk.get(reverse("restored")).content.decode()
        assert "never restored" in page
        assert self_has_no_form(page)
        assert not Sale.objects.exists()

    def test_the_page_asks_the_same_however_much_is_here(
        self, desk, django_assert_max_num_queries
    ):
        def asked():
            with django_assert_max_num_queries(80) as counted:
                desk.get(reverse("restored"))
            return len(counted)

        make.filled("F1")
        restore()
        before = asked()
        with written_again():
            for number in range(3):
                soap_of(f"P{number}")
        assert asked() == before


def self_has_no_form(page):
    return 'id="write"' not in page
