"""Labels go out: what a maker means by issuing, counting and taking back.

A maker looks at a label as often as he likes: nothing counts, and the file says across
that it is not issued. He issues so many: they are in the book, with the very file. He
counts what was stuck on and what tore; he mends a miscount by counting again. A label
that went out by mistake is taken back with a reason: what is left is spoiled, and it
stays readable.
"""

import io
import json
from urllib.parse import urlencode

import pdfplumber
import pytest
from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import DatabaseError, connection, transaction
from django.urls import reverse

from config.audit import audit
from labels.models import IssuedLabel
from production.correcting.actions.undoing import undo_deed
from production.correcting.reads.about import named_in
from production.models import Deed
from production.papers.files.attachments import load, path_of
from production.quantities.domain.refusal import Refused
from production.record.models.ink import install_triggers, lift_triggers
from production.record.reads.clock import today
from tests import make
from tests.labels.ready_bottles import bottles, card
from tests.labels.test_label_page import CARD, pdf, text

__all__ = ["bottles", "card"]


def issue(desk, lot, how="sheet", key="k1", **asked):
    where = reverse("lot-label-issue", args=[lot.code])
    return desk.post(f"{where}?{urlencode(asked)}", {"key": key, "print": how})


def words_across(content):
    """What stands turned on each page, without its spaces."""
    with pdfplumber.open(io.BytesIO(content)) as made:
        letters = [one for page in made.pages for one in page.chars]
    return "".join(c["text"].strip() for c in letters if c["matrix"][1])


EMPTY = "DELETE FROM labels_issuedlabel"


@pytest.fixture
def issued(desk, bottles, card):
    assert issue(desk, bottles, labels="4").status_code == 302
    return IssuedLabel.objects.get()


def counted(pk):
    row = IssuedLabel.objects.reconciled().get(pk=pk)
    return row.all_printed, row.used, row.spoiled, row.left


class TestALook:
    @pytest.mark.parametrize("how", ["one", "sheet"])
    def test_says_across_that_it_is_not_issued_and_counts_nothing(
        self, desk, bottles, card, how
    ):
        before = Deed.objects.count()
        answer = pdf(desk, bottles, print=how, labels="2")
        assert "NOTISSUED" in words_across(answer.content)
        bottles.refresh_from_db()
        assert bottles.labelled is None
        assert not IssuedLabel.objects.exists()
        assert Deed.objects.count() == before

    def test_of_a_product_without_a_lot_says_so_too(self, desk, bottles, card):
        where = reverse("item-label-pdf", args=[bottles.item_id])
        answer = desk.get(where, {"print": "one"})
        assert "NOTISSUED" in words_across(answer.content)

    def test_the_page_of_issuing_writes_nothing_when_it_is_opened(
        self, desk, bottles, card
    ):
        where = reverse("lot-label-issue", args=[bottles.code])
        shown = text(desk.get(f"{where}?labels=4"))
        assert "Issue and print 4" in shown
        assert not IssuedLabel.objects.exists()


class TestIssued:
    def test_the_label_page_issues_in_one_press_and_the_file_is_clean(
        self, desk, bottles, card
    ):
        shown = text(desk.get(reverse("lot-label", args=[bottles.code])))
        assert "Issue and print 1<" in shown
        answer = issue(desk, bottles, labels="4", rules="eu")
        made = IssuedLabel.objects.get()
        assert answer.url == made.get_absolute_url()
        assert (made.printed, made.lot, made.rules) == (4, bottles, "eu")
        file = desk.get(reverse("label-file", args=[made.pk]))
        assert words_across(file.content) == ""
        with pdfplumber.open(io.BytesIO(file.content)) as kept:
            (page,) = kept.pages
            assert page.extract_text().count("Olea Europaea Fruit Oil") == 4

    def test_it_binds_the_code_of_its_lot(self, issued, bottles):
        bottles.refresh_from_db()
        assert bottles.labelled == today()

    def test_the_very_bytes_are_kept_under_their_digest(self, issued):
        raw = load(settings.HOME, issued.sha256)
        assert len(raw) == issued.size

    def test_all_that_it_was_made_from_is_kept_with_it(self, issued):
        kept = json.loads(issued.inputs)
        assert kept["words"]["batch"] == ["FILL-1"]
        assert "Olea Europaea Fruit Oil" in kept["words"]["ingredients"]
        assert kept["drawing"]["width"] == "60"
        assert kept["on"]["labels"] == 4
        assert len(issued.edition) == 64

    def test_a_double_click_issues_once(self, desk, bottles, card):
        first = issue(desk, bottles, labels="4")
        second = issue(desk, bottles, labels="4")
        assert second.url == first.url
        assert IssuedLabel.objects.count() == 1

    def test_the_same_page_sent_with_another_number_is_asked_about(
        self, desk, bottles, card
    ):
        issue(desk, bottles, labels="4")
        answer = issue(desk, bottles, labels="5")
        assert "written already" in text(answer)
        assert IssuedLabel.objects.count() == 1

    def test_a_draft_is_refused_with_what_it_lacks(self, desk, bottles, card):
        card.declared = ""
        card.save()
        answer = issue(desk, bottles, labels="4")
        assert answer.status_code == 200
        assert "draft and is not issued" in text(answer)
        assert "Write on the label card what one of them holds" in text(answer)
        assert not IssuedLabel.objects.exists()
        shown = text(desk.get(reverse("lot-label", args=[bottles.code])))
        assert "Issue and print" not in shown

    def test_without_a_lot_the_batch_is_written_in_by_hand(self, desk, bottles, card):
        where = reverse("item-label-issue", args=[bottles.item_id])
        desk.post(f"{where}?labels=3", {"key": "k9", "print": "sheet"})
        made = IssuedLabel.objects.get()
        assert (made.lot, made.item, made.printed) == (None, bottles.item, 3)
        assert desk.get(made.get_absolute_url()).status_code == 200

    def test_it_is_for_those_who_signed_in(self, client, bottles):
        answer = client.post(reverse("lot-label-issue", args=[bottles.code]), {})
        assert reverse("login") in answer.url


class TestInk:
    def test_the_model_and_the_database_refuse_a_change(self, issued):
        issued.printed = 400
        with pytest.raises(ValidationError):
            issued.save()
        with pytest.raises(ValidationError):
            issued.delete()
        for change in ("UPDATE labels_issuedlabel SET printed = 4", EMPTY):
            with (
                pytest.raises(DatabaseError),
                transaction.atomic(),
                connection.cursor() as cursor,
            ):
                cursor.execute(change)


def test_a_filling_typed_wrongly_is_taken_back_whatever_was_printed(desk, issued):
    undo_deed(
        undone=issued.lot.deed, along=True, **make.act(30, reason="it was another soap")
    )
    assert IssuedLabel.objects.get().lot_id == issued.lot_id


class TestAudit:
    """The book proves that each issued label is the one that was printed."""

    def faults(self):
        return [fault for one in audit() for fault in one.faults if "label" in fault]

    @pytest.mark.parametrize("how", ["one", "sheet"])
    def test_a_label_as_it_was_issued_has_no_fault(self, desk, bottles, card, how):
        issue(desk, bottles, how, labels="5")
        assert self.faults() == []

    def test_a_file_that_is_gone_or_changed_is_named(self, issued):
        path = path_of(settings.HOME, issued.sha256)
        kept = path.read_bytes()
        path.write_bytes(kept + b" ")
        assert self.faults() == [f"{issued}: its file is gone or changed"]
        path.unlink()
        assert self.faults() == [f"{issued}: its file is gone or changed"]
        path.write_bytes(kept)
        assert self.faults() == []

    def change(self, issued, **facts):
        lift_triggers(connection, ["labels_issuedlabel"])
        sets = ", ".join(f"{name} = %s" for name in facts)
        with connection.cursor() as cursor:
            cursor.execute(f"UPDATE labels_issuedlabel SET {sets}", [*facts.values()])
        install_triggers(connection, ["labels_issuedlabel"])

    @pytest.mark.parametrize(
        ("was", "made", "says"),
        [
            ("Avoid", "Enjoy", "its words are not those that were issued"),
            ("Avoid", "Enjoy", "its file has other words or places than its drawing"),
            ('"baseline":"', '"baseline":"1', "other words or places"),
            ('"width":"60"', '"width":"61"', "another size than its label"),
            ('"drawing"', '"drawn"', "cannot be read"),
        ],
    )
    def test_what_was_kept_of_it_cannot_be_changed_unseen(
        self, issued, was, made, says
    ):
        assert was in issued.inputs
        self.change(issued, inputs=issued.inputs.replace(was, made))
        assert any(says in fault for fault in self.faults()), self.faults()

    def test_a_file_of_other_words_under_a_right_digest_is_found(
        self, desk, bottles, issued, card
    ):
        """Somebody lays another label of the same size in its place."""
        desk.post(
            reverse("label-card", args=[issued.item_id]), CARD | {"identity": "Slipway"}
        )
        issue(desk, bottles, labels="4", key="k2")
        other = IssuedLabel.objects.first()
        self.change(issued, sha256=other.sha256, size=other.size)
        assert f"{issued}: its file has other words or places than its drawing" in (
            self.faults()
        )


class TestHistory:
    def test_it_names_the_lot_of_each_act(self, desk, issued):
        for name, typed in (
            ("count", {"used": "1", "spoiled": "0"}),
            ("again", {"printed": "1"}),
            ("take-back", {"reason": "a wrong sheet"}),
        ):
            where = reverse(f"label-{name}", args=[issued.pk])
            first = {"key": name, "on": str(today()), "reason": ""}
            assert desk.post(where, first | typed).status_code == 302
        acts = Deed.objects.filter(verb__contains="label")
        assert acts.count() == 4
        for named in named_in(acts).values():
            assert [(one.kind, one.name) for one in named] == [("lot", "FILL-1")]

    def test_what_is_out_is_never_undone_and_says_what_to_do(self, desk, issued):
        with pytest.raises(Refused, match="Take its labels back on their page"):
            undo_deed(undone=issued.deed, by=make.owner(), on=today(), reason="no")
