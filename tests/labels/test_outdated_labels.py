"""A label that fits no more is found, and one that will not fit is told before.

Linalool and Citral are named from 0.001 % on skin and 0.01 % on what is rinsed off:
Regulation (EC) 1223/2009 Annex III. The shares here are far above that.
"""

import re
from decimal import Decimal
from html import unescape

import pytest
from django.urls import reverse

from labels.domain.issued import differences
from labels.models import IssuedLabel, MakersMark
from production.lots.actions.lot_deeds import discard
from production.models import Lot
from production.record.reads.clock import today
from tests import make
from tests.labels.ready_bottles import (
    CITRAL,
    LINALOOL,
    bottles,
    card,
    cooked,
    document,
    lot,
    scent,
    second,
)
from tests.labels.test_issue_labels import issue
from tests.labels.test_label_page import CARD, text

__all__ = ["bottles", "card", "second"]


@pytest.fixture
def issued(desk, bottles, card):
    answer = issue(desk, bottles, labels="2", rules="eu")
    assert answer.status_code == 302, text(answer)
    return IssuedLabel.objects.get()


def outdated(desk):
    return unescape(text(desk.get(reverse("labels-outdated"))))


class TestStockWithAnOlderText:
    def test_none_while_nothing_changed(self, desk, issued):
        shown = outdated(desk)
        assert "carries the text that its label would have today" in shown
        assert "FILL-1" not in shown

    def test_without_any_label_it_says_so(self, desk, bottles):
        assert "No label was issued yet" in outdated(desk)

    def test_a_newer_document_of_its_fragrance(self, desk, issued):
        document(lot("FRA-1"), CITRAL, "2")
        shown = outdated(desk)
        assert "batch FILL-1" in shown
        assert "Citral came" in shown
        assert "Linalool went" in shown

    def test_its_card(self, desk, issued):
        where = reverse("label-card", args=[issued.item_id])
        desk.post(where, CARD | {"cautions": "Avoid the eyes and ears."})
        shown = " ".join(outdated(desk).split())
        assert "“eyes.” became “eyes and ears.”" in shown

    def test_the_name_of_a_material(self, desk, issued):
        oil = Lot.objects.get(item__name="olive oil").item
        oil.own_inci = "Olea Europaea Oil"
        oil.save()
        shown = outdated(desk)
        assert "Olea Europaea Fruit Oil went." in shown
        assert "Olea Europaea Oil came, as the 1st." in shown

    def test_where_it_stands_how_many_and_how_many_were_sold(self, desk, issued):
        make.sale(issued.lot, "1", on=make.day(5))
        document(lot("FRA-1"), CITRAL, "2")
        shown = " ".join(re.sub("<[^>]*>", " ", outdated(desk)).split())
        assert "On hand 1 pc : 1 pc at" in shown
        assert "Sold or given 1 pc " in shown

    def test_not_of_a_lot_that_is_gone(self, desk, issued):
        make.sale(issued.lot, "2", on=make.day(5))
        document(lot("FRA-1"), CITRAL, "2")
        assert "FILL-1" not in outdated(desk)

    def test_not_once_the_label_was_issued_anew(self, desk, issued):
        document(lot("FRA-1"), CITRAL, "2")
        issue(desk, issued.lot, key="k2", labels="2", rules="eu")
        assert "FILL-1" not in outdated(desk)

    def test_a_label_that_was_taken_back_is_said_to_be(self, desk, issued):
        document(lot("FRA-1"), CITRAL, "2")
        desk.post(
            reverse("label-take-back", args=[issued.pk]),
            {"key": "w", "on": str(today()), "reason": "an old text"},
        )
        shown = outdated(desk)
        assert "No label was issued yet" not in shown
        assert "Its label was taken back" in shown
        assert "an old text" in shown
        assert "On hand" in shown
        assert "Citral came" not in shown
        issue(desk, issued.lot, key="k2", labels="2", rules="eu")
        assert "FILL-1" not in outdated(desk), "the label issued since is right"

    def test_a_label_taken_back_stands_before_an_older_text(self, desk, issued, second):
        issue(desk, second, key="k2", labels="1", rules="eu")
        document(lot("FRA-1"), CITRAL, "2")
        desk.post(
            reverse("label-take-back", args=[IssuedLabel.objects.first().pk]),
            {"key": "w", "on": str(today()), "reason": "smeared"},
        )
        shown = outdated(desk)
        assert shown.index("batch FILL-2") < shown.index("batch FILL-1")

    def test_not_of_one_whose_bottles_nobody_has(self, desk, issued):
        discard(lot=issued.lot, amount=Decimal(2), **make.act(5, reason="cloudy"))
        desk.post(
            reverse("label-take-back", args=[issued.pk]),
            {"key": "w", "on": str(today()), "reason": "smeared"},
        )
        assert "FILL-1" not in outdated(desk)

    def test_where_no_list_can_be_made_any_more_it_says_why(self, desk, issued):
        oil = Lot.objects.get(item__name="olive oil").item
        oil.own_inci = ""
        oil.save()
        shown = outdated(desk)
        assert "FILL-1" in shown
        assert "No list can be made" in shown
        assert "olive oil" in shown
        stopped = text(desk.get(issued.get_absolute_url()))
        assert reverse("label-again", args=[issued.pk]) not in stopped


class TestTwoIssuedLabels:
    def test_say_in_words_what_changed(self, desk, issued):
        document(lot("FRA-1"), LINALOOL | CITRAL, "2")
        issue(desk, issued.lot, key="k2", labels="2", rules="eu")
        new = IssuedLabel.objects.first()
        where = reverse("label-against", args=[new.pk, issued.pk])
        shown = unescape(text(desk.get(where)))
        assert "Citral came" in shown
        assert "went" not in shown
        assert reverse("label-against", args=[issued.pk, new.pk]) in text(
            desk.get(issued.get_absolute_url())
        )

    @pytest.mark.parametrize(
        ("words", "says"),
        [
            ({"product": "Sea Foam"}, "“soap 250” became “Sea Foam”."),
            ({"scent": "Cedar and salt"}, "It came."),
            ({"shelf": "4006381333931"}, "4006381333931"),
            ({"leaflet": "on"}, "hand and book"),
            ({"declared": "200 mL"}, "“250 mL” became “200 mL”."),
        ],
    )
    def test_what_stands_on_the_front_is_a_text_too(self, desk, issued, words, says):
        where = reverse("label-card", args=[issued.item_id])
        answer = desk.post(where, CARD | words)
        assert answer.status_code == 302, text(answer)
        assert says in outdated(desk)
        issue(desk, issued.lot, key="k2", labels="2", rules="eu")
        new = IssuedLabel.objects.first()
        assert new.words != issued.words
        where = reverse("label-against", args=[new.pk, issued.pk])
        assert says in unescape(text(desk.get(where)))

    def test_another_picture_for_the_mark_is_told(self, desk, issued):
        MakersMark.objects.create(sha256="ab" * 32, name="wave.svg", type="image/svg")
        assert "Mark" in outdated(desk)
        was, now = {"mark": ["ab" * 32]}, {"mark": ["cd" * 32]}
        (one,) = differences(was, now)
        assert one.says == ("It is another picture.",)

    def test_alike_they_say_so(self, desk, issued):
        issue(desk, issued.lot, key="k2", labels="2", rules="eu")
        new = IssuedLabel.objects.first()
        where = reverse("label-against", args=[new.pk, issued.pk])
        assert "They read alike" in text(desk.get(where))

    def test_of_two_products_are_not_compared(self, desk, issued):
        row = IssuedLabel.objects.values().get() | {"id": None}
        other = make.item("soap 500", kind="made", unit="piece")
        row = IssuedLabel.objects.create(**row | {"item_id": other.pk, "lot_id": None})
        where = reverse("label-against", args=[row.pk, issued.pk])
        assert desk.get(where).status_code == 404


class TestAFragranceThatChangesTheList:
    SAYS = "FRA-2 changes the ingredient list of soap 250"

    def page(self, desk, name, *args):
        return unescape(text(desk.get(reverse(name, args=args))))

    def test_is_told_where_its_document_is_taken_in(self, desk, issued):
        scent("FRA-2", CITRAL)
        shown = self.page(desk, "lot-fragrance", "FRA-2")
        assert self.SAYS in shown
        assert "Citral came" in shown
        assert "Linalool went" in shown

    def test_is_told_with_its_purchase(self, desk, issued):
        bought = scent("FRA-2", CITRAL)
        shown = self.page(desk, "purchase", bought.line.purchase_id)
        assert self.SAYS in shown

    def test_is_told_on_the_batch_that_it_went_into(self, desk, issued):
        paste = cooked("PASTE-2")
        made = make.batch(
            "finishing",
            uses=[(paste, "90"), (scent("FRA-2", CITRAL), "2")],
            makes="finished soap",
            amount="92",
        )
        assert self.SAYS in self.page(desk, "batch", made.batch.code)

    def test_without_its_document_nobody_knows_and_it_says_so(self, desk, issued):
        scent("FRA-2", None)
        shown = self.page(desk, "lot-fragrance", "FRA-2")
        assert "FRA-2 has no document yet" in shown

    def test_a_newer_document_of_the_lot_that_went_in_is_told_too(self, desk, issued):
        document(lot("FRA-1"), CITRAL, "2")
        shown = self.page(desk, "lot-fragrance", "FRA-1")
        assert "FRA-1 changes the ingredient list of soap 250" in shown

    @pytest.mark.parametrize("name", ["FRA-1", "FRA-2", "OTHER-1"])
    def test_one_that_changes_nothing_says_nothing(self, desk, issued, name):
        scent("FRA-2", {"Linalool": Decimal("0.2")})
        scent("OTHER-1", CITRAL, item="Kelp")
        assert "changes the ingredient list" not in self.page(
            desk, "lot-fragrance", name
        )

    def test_before_any_label_was_issued_nothing_is_said(self, desk, bottles):
        scent("FRA-2", CITRAL)
        assert "changes the" not in self.page(desk, "lot-fragrance", "FRA-2")
