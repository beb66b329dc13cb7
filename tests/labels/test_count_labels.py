"""What became of issued labels: stuck on, spoiled, left, and taken back."""

import io
from datetime import timedelta

import pdfplumber
import pytest
from django.urls import reverse

from labels.models import IssuedLabel, LabelCard, LabelCount, LabelWithdrawn, Reprint
from production.models import Deed
from production.record.reads.clock import today
from tests.labels.ready_bottles import bottles, card
from tests.labels.test_issue_labels import counted, issue, issued, words_across
from tests.labels.test_label_page import CARD, text

__all__ = ["bottles", "card", "issued"]


class TestCounted:
    def post(self, desk, issued, name, **typed):
        where = reverse(f"label-{name}", args=[issued.pk])
        first = {"key": f"{name}{typed}", "on": str(today()), "reason": ""}
        return desk.post(where, first | typed)

    def test_printed_less_stuck_on_and_spoiled_is_left(self, desk, issued):
        assert counted(issued.pk) == (4, 0, 0, 4)
        self.post(desk, issued, "count", used="2", spoiled="1")
        assert counted(issued.pk) == (4, 2, 1, 1)

    def test_a_miscount_is_mended_by_counting_once_more(self, desk, issued):
        self.post(desk, issued, "count", used="2", spoiled="0")
        self.post(desk, issued, "count", used="1", spoiled="2")
        assert counted(issued.pk) == (4, 1, 2, 1)
        shown = text(desk.get(issued.get_absolute_url()))
        assert "2 stuck on" in shown, "the first count stays readable"

    def test_never_more_than_was_printed(self, desk, issued):
        answer = self.post(desk, issued, "count", used="2", spoiled="3")
        assert "4 were printed: 2 used and 3 spoiled are 5." in text(answer)
        assert not LabelCount.objects.exists()

    def test_printed_again_adds_to_what_was_printed(self, desk, issued):
        self.post(desk, issued, "count", used="2", spoiled="2")
        self.post(desk, issued, "again", printed="3")
        assert counted(issued.pk) == (7, 2, 2, 3)
        assert Reprint.objects.get().printed == 3

    def test_an_old_text_is_not_printed_again(self, desk, issued, card):
        desk.post(
            reverse("label-card", args=[issued.item_id]), CARD | {"identity": "Slipway"}
        )
        answer = self.post(desk, issued, "again", printed="3")
        assert "Its text is not that of today any more" in text(answer)
        file = desk.get(reverse("label-file", args=[issued.pk]))
        assert "DONOTUSE" in words_across(file.content)

    def test_taken_back_all_that_is_left_is_spoiled_and_nothing_vanishes(
        self, desk, issued
    ):
        self.post(desk, issued, "count", used="1", spoiled="0")
        self.post(desk, issued, "take-back", reason="wrong sheet in the printer")
        assert counted(issued.pk) == (4, 1, 3, 0)
        shown = text(desk.get(issued.get_absolute_url()))
        assert "wrong sheet in the printer" in shown
        assert "Olea Europaea Fruit Oil" in shown
        file = desk.get(reverse("label-file", args=[issued.pk]))
        assert words_across(file.content) == "TAKENBACK" * 4, "across each label"
        assert "taken back" in text(self.post(desk, issued, "again", printed="1"))
        assert counted(issued.pk) == (4, 1, 3, 0)

    def test_what_was_torn_up_is_never_left_again(self, desk, issued):
        self.post(desk, issued, "take-back", reason="wrong sheet in the printer")
        answer = self.post(desk, issued, "count", used="1", spoiled="0")
        assert f"Label {issued.pk} of FILL-1 was taken back, and what" in text(answer)
        assert counted(issued.pk) == (4, 0, 4, 0)

    def test_one_that_turned_up_on_a_bottle_is_counted_with_a_reason(
        self, desk, issued
    ):
        self.post(desk, issued, "take-back", reason="wrong sheet in the printer")
        found = {"used": "1", "spoiled": "3"}
        answer = self.post(desk, issued, "count", **found)
        assert "Write the reason for counting fewer as spoiled" in text(answer)
        assert counted(issued.pk) == (4, 0, 4, 0)
        self.post(desk, issued, "count", **found, reason="one bottle had it on")
        assert counted(issued.pk) == (4, 1, 3, 0)

    def test_taken_back_twice_is_refused_and_keeps_the_case_of_its_code(
        self, desk, issued
    ):
        self.post(desk, issued, "take-back", reason="wrong sheet")
        again = self.post(desk, issued, "take-back", reason="once more", key="w2")
        assert f"Label {issued.pk} of FILL-1 was taken back already." in text(again)

    def test_no_more_bottles_carry_it_than_were_filled(self, desk, issued):
        answer = self.post(desk, issued, "count", used="3", spoiled="0")
        assert "There were never more than 2 of FILL-1" in text(answer)
        assert not LabelCount.objects.exists()

    @pytest.mark.parametrize(
        ("name", "typed"),
        [
            ("count", {"used": "1", "spoiled": "0"}),
            ("again", {"printed": "1"}),
            ("take-back", {"reason": "wrong sheet"}),
        ],
    )
    def test_nothing_becomes_of_it_before_it_was_issued(
        self, desk, issued, name, typed
    ):
        before = today() - timedelta(days=1)
        answer = self.post(desk, issued, name, on=str(before), **typed)
        assert f"was issued on {today()}: write that day" in text(answer)
        assert not Deed.objects.filter(verb__contains="label", on=before).exists()

    def test_what_would_be_a_draft_today_is_not_printed_again(self, desk, issued, card):
        """Its words are those of today; what is said of it in the shop is a claim."""
        LabelCard.objects.update(claims="Kills germs")
        answer = text(self.post(desk, issued, "again", printed="1"))
        assert "Issued today it would be a draft. Kind of product:" in answer
        assert not Reprint.objects.exists()
        file = desk.get(reverse("label-file", args=[issued.pk]))
        assert "DONOTUSE" in words_across(file.content)

    @pytest.mark.parametrize("layout", ["one", "pair"])
    def test_no_label_of_a_crossed_sheet_is_clean(self, desk, bottles, card, layout):
        """Each place on the sheet has the word across its middle."""
        LabelCard.objects.update(layout=layout)
        issue(desk, bottles, labels="5")
        kept = IssuedLabel.objects.get()
        self.post(desk, kept, "take-back", reason="wrong sheet")
        file = desk.get(reverse("label-file", args=[kept.pk])).content
        sides, high = 5 * (2 if layout == "pair" else 1), 90 * 72 / 25.4
        middles = set()
        with pdfplumber.open(io.BytesIO(file)) as made:
            for page in made.pages:
                turned = [c for c in page.chars if c["matrix"][1] and c["text"].strip()]
                for begin in range(0, len(turned), 9):
                    word = turned[begin : begin + 9]
                    assert "".join(c["text"] for c in word) == "TAKENBACK"
                    left = min(c["x0"] for c in word)
                    top = min(c["top"] for c in word)
                    assert max(c["x1"] for c in word) - left < 60 * 72 / 25.4
                    assert max(c["bottom"] for c in word) - top < high
                    middles.add((page.page_number, round(left), round(top)))
        assert len(middles) == sides

    def test_what_has_no_room_any_more_is_not_printed_again(self, desk, issued, card):
        """The same words in the form that goes round a bottle need a wider paper."""
        LabelCard.objects.update(design="frame", layout="wrap")
        answer = text(self.post(desk, issued, "again", printed="1"))
        assert (
            "Issued today it would be a draft. Net contents: They do not fit" in answer
        )

    def test_a_reason_is_asked_for_taking_back(self, desk, issued):
        answer = self.post(desk, issued, "take-back")
        assert answer.status_code == 200
        assert not LabelWithdrawn.objects.exists()

    def test_the_list_shows_each_and_adds_up(self, desk, bottles, issued):
        issue(desk, bottles, labels="6", key="k2")
        listed = text(desk.get(reverse("labels-issued")))
        assert listed.count(f'href="{reverse("lot", args=["FILL-1"])}"') == 2
        assert ">10<" in "".join(listed.split())
        taken = desk.get(reverse("labels-issued"), {"sheet": "xlsx"})
        assert "spreadsheet" in taken.headers["Content-Type"]
        found = text(desk.get(reverse("labels-issued"), {"find": "nowhere"}))
        assert "FILL-1" not in found

    @pytest.mark.parametrize("more", [1, 9])
    def test_the_list_asks_the_same_however_long(
        self, desk, bottles, issued, more, django_assert_num_queries
    ):
        row = IssuedLabel.objects.values().get()
        for _ in range(more):
            IssuedLabel.objects.create(**row | {"id": None})
        with django_assert_num_queries(7):
            desk.get(reverse("labels-issued"))
