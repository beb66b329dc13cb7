"""The pages of trials: the list, samples mixed, looks, side by side."""

import re
from decimal import Decimal
from html import unescape

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from production.batches.actions.batches import start_batch, use_lots
from production.batches.actions.losing import lose_batch
from production.batches.actions.new_batch import Use
from production.batches.actions.trials import NewAddition, note_look, promote_trial
from production.models import Attachment, Batch, Step
from production.quantities.domain.percent_text import read_shares
from production.quantities.domain.refusal import Refused
from production.recipes.actions.formulas import NewVersionLine
from production.release.actions.readings import note_measurement
from production.stock.actions.opening_lots import Reading
from tests import make
from tests.production.batches.test_trials import PNG, mixed, scent, shares, soap
from tests.production.writing import holds, typed

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _today(monkeypatch):
    """It is the fourth of March 2026, the day after the samples were mixed."""
    for where in ("batches.views.trials", "start.views.start"):
        monkeypatch.setattr(f"production.{where}.today", lambda: make.day(4))


def some(many=3):
    return mixed(NewAddition(scent(), shares(*["1"] * many)))


def words(answer):
    text = re.sub(r"<[^>]+>", " ", answer.content.decode())
    return re.sub(r"\s+", " ", unescape(text))


def beside(desk, batches):
    codes = [batch.code for batch in batches]
    return desk.get(reverse("batch-trials-beside"), {"batch": codes})


class TestShares:
    @pytest.mark.parametrize(
        ("text", "percents"),
        [
            ("0.5 1 1.5", ["0.5", "1", "1.5"]),
            ("0.5, 1, 1.5 %", ["0.5", "1", "1.5"]),
            ("0,5; 1; 1.5", ["0.5", "1", "1.5"]),
            ("0.5,1.0,1.5", ["0.5", "1", "1.5"]),
            ("2 %", ["2"]),
            ("0 1", ["0", "1"]),
        ],
    )
    def test_they_are_read_as_people_write_them(self, text, percents):
        assert read_shares(text) == shares(*percents)

    @pytest.mark.parametrize("text", ["1,5", "a 1", "120", "-1", " ; "])
    def test_what_may_be_misread_is_refused(self, text):
        with pytest.raises(Refused):
            read_shares(text)


class TestMixing:
    def test_the_page_keeps_every_promise(self, desk):
        lot, fragrance = soap(), scent()
        url = reverse("batch-trials-mix") + "?lot=THIN"
        good = {
            "soap_each": "100 g",
            "additions-0-lot": fragrance.code,
            "additions-0-shares": "0.5 1 1.5",
            "on": "2026-03-03",
        }
        answer = holds(desk, url, good, {"soap_each": "9 kg"}, "THIN")
        assert answer.url.startswith(reverse("batch-trials-beside") + "?batch=")
        assert Batch.objects.filter(trial=True).count() == 3
        assert make.on_hand(lot) == Decimal(1700)
        page = words(desk.get(answer.url))
        assert "Take it back" in page
        assert page.count("not to be sold") == 3

    def test_half_a_row_says_what_is_missing(self, desk):
        soap(), scent()
        url = reverse("batch-trials-mix") + "?lot=THIN"
        sent = typed(desk.get(url))
        page = words(desk.post(url, sent | {"additions-0-lot": "FRA-1"}))
        assert "Write in which shares" in page
        page = words(desk.post(url, sent | {"additions-0-shares": "1 2"}))
        assert "Say which lot" in page


class TestList:
    def test_a_trial_that_burnt_says_so(self, desk):
        batch = start_batch(stage="dilution", trial=True, **make.act(3))
        uses = [Use(lot=make.lot(grams="100"), amount=Decimal(40))]
        use_lots(batch=batch, uses=uses, **make.act(3))
        lose_batch(batch=batch, kind="burnt", **make.act(3))
        page = words(desk.get(reverse("batch-trials")))
        assert f"{batch.code}" in page
        assert " lost " in page

    def test_it_lists_trials_and_leads_side_by_side(self, desk):
        batches = some(2)
        make.filled()
        answer = desk.get(reverse("batch-trials"))
        page = answer.content.decode()
        for batch in batches:
            assert f'name="batch" value="{batch.code}" form="beside"' in page
        assert len(answer.context["table"].rows) == 2
        assert f'action="{reverse("batch-trials-beside")}" id="beside"' in page

    def test_it_is_narrowed_to_promoted_ones(self, desk):
        first, second = some(2)
        make.seen(first, 4)
        promote_trial(batch=first, reason="the best", **make.act(4))

        def listed(state):
            answer = desk.get(reverse("batch-trials"), {"promoted": state})
            return [row.record for row in answer.context["table"].rows]

        assert listed("yes") == [first]
        assert listed("no") == [second]

    def test_an_empty_list_leads_to_the_mixing(self, desk):
        page = desk.get(reverse("batch-trials")).content.decode()
        assert "No trial was made yet" in page
        assert reverse("batch-trials-mix") in page

    def test_it_is_taken_as_a_spreadsheet(self, desk):
        some(2)
        answer = desk.get(reverse("batch-trials"), {"sheet": "xlsx"})
        assert answer.status_code == 200
        assert "spreadsheet" in answer["Content-Type"]


class TestLook:
    def test_a_look_is_noted_with_its_photo(self, desk):
        batch = some(1)[0]
        url = reverse("batch-look", args=[batch.code])
        page = desk.get(url)
        assert 'enctype="multipart/form-data"' in page.content.decode()
        # The look that is due is chosen already.
        assert page.context["form"]["look"].value() == "day"
        sent = typed(page) | {"on": "2026-03-04", "clear": "no", "text": "hazy"}
        photo = SimpleUploadedFile("day.png", PNG)
        answer = desk.post(url, sent | {"photo": photo})
        assert answer.url == batch.get_absolute_url()
        assert "after a day: hazy" in words(desk.get(answer.url))
        paper = Attachment.objects.get()
        assert (paper.batch, paper.note) == (batch, "after a day")
        again = desk.post(url, sent | {"photo": SimpleUploadedFile("day.png", PNG)})
        assert again.url == answer.url
        assert Step.objects.count() == Attachment.objects.count() == 1

    @pytest.mark.parametrize(
        ("sent", "says"),
        [
            ({"text": "", "clear": ""}, "Write what was seen"),
            ({"look": "week"}, "for 2026-03-10 or later"),
            (
                {"photo": SimpleUploadedFile("a.pdf", b"%PDF-1.7")},
                "a.pdf is no picture",
            ),
            (
                {"photo": SimpleUploadedFile("a.png", b"GIF89a")},
                "a.png is not what its name says",
            ),
        ],
    )
    def test_a_refusal_writes_nothing_and_keeps_the_words(self, desk, sent, says):
        batch = some(1)[0]
        url = reverse("batch-look", args=[batch.code])
        kept = typed(desk.get(url)) | {"on": "2026-03-04", "text": "hazy"} | sent
        answer = desk.post(url, kept)
        assert says in words(answer)
        assert answer.context["form"]["text"].value() == kept["text"]
        assert not Step.objects.exists()

    def test_the_start_page_leads_to_what_is_due(self, desk):
        batch = some(1)[0]
        page = desk.get(reverse("start"))
        assert "Trials to look at" in words(page)
        assert reverse("batch-look", args=[batch.code]) in page.content.decode()
        note_look(batch=batch, look="day", clear=True, **make.act(4))
        assert "Trials to look at" not in words(desk.get(reverse("start")))


class TestSideBySide:
    def test_a_column_for_each_with_photo_and_the_next_act(self, desk):
        batches = some(2)
        note_look(batch=batches[0], look="minutes", clear=True, **make.act(3))
        paper = make.attachment("noon.png", PNG, batch=batches[0])
        answer = beside(desk, batches)
        page, said = answer.content.decode(), words(answer)
        assert f'<img src="{paper.get_absolute_url()}"' in page
        assert desk.get(paper.get_absolute_url())["Content-Type"] == "image/png"
        assert "img-src 'self'" in answer["Content-Security-Policy"]
        assert "1 % 1.01 g of FRA-1" in said
        for batch in batches:
            assert reverse("batch-promote", args=[batch.code]) in page
            assert reverse("batch-look", args=[batch.code]) + "?look=day" in page

    def test_a_trial_by_a_recipe_leads_to_its_next_version(self, desk):
        lot = soap()
        version = make.version(
            "finishing",
            makes=make.item("hand soap", kind="made"),
            lines=[NewVersionLine(lot.item, share=Decimal(1))],
        )
        made = make.batch(
            "finishing", uses=[(lot, "100")], amount="100", version=version, trial=True
        )
        page = beside(desk, [made.batch]).content.decode()
        assert reverse("version-next", args=[version.pk]) in page

    def test_nothing_ticked_says_what_to_do(self, desk):
        page = desk.get(reverse("batch-trials-beside"))
        assert page.status_code == 200
        assert "No trial is chosen" in words(page)

    def test_at_most_six_and_it_says_so(self, desk):
        assert "1 more is left out" in words(beside(desk, some(7)))


def test_the_pages_ask_the_same_for_2_trials_and_for_5(desk):
    batches = some(5)
    for batch in batches:
        note_look(batch=batch, look="minutes", clear=True, **make.act(3))
        make.attachment(f"{batch}.png", PNG, batch=batch)
        ph = Reading("pH", Decimal("9.8"))
        note_measurement(lot=batch.lot, readings=[ph], **make.act(4))

    def asked(url):
        with CaptureQueriesContext(connection) as questions:
            assert desk.get(url).status_code == 200
        return len(questions)

    def address(some):
        codes = "&".join(f"batch={batch.code}" for batch in some)
        return f"{reverse('batch-trials-beside')}?{codes}"

    assert asked(address(batches[:2])) == asked(address(batches))
    found = [asked(reverse(name)) for name in ("batch-trials", "start")]
    mixed(
        NewAddition(scent("FRA-2"), shares(*"12345")),
        lot=batches[0].lot.item.lots.get(code="THIN"),
    )
    assert [asked(reverse(name)) for name in ("batch-trials", "start")] == found
