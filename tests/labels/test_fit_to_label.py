"""Which lot may carry a clean label today, by what a maker means.

| the lot | its label |
| --- | --- |
| filled and at rest, or released | clean: it may be labelled while it rests |
| soap that nobody tested, or that failed | draft: it may burn |
| rejected | draft |
| expired | draft |
| called back: held since something is wrong with it | draft, until the cause is gone |
| held for its label or papers | draft; clean with the text that an owner approved |
| made from such a lot | the same |

An approval is of one text and of the causes that the owner ticked: another text, or a
cause that came later, is a draft again. The lot stays held, so it is not sold.
"""

from urllib.parse import urlencode

import pytest
from django.urls import reverse

from labels.models import IssuedLabel, TextApproved
from labels.reads.issued import causes_to_answer
from production.correcting.actions.undoing import undo_deed
from production.models import Deed, Lot, Measurement
from production.quantities.domain.refusal import Refused
from production.record.reads.clock import today
from production.release.actions.readings import note_measurement
from production.release.actions.statuses import hold_lot, reject_lot, release_lot
from production.release.actions.taking_back import take_back_check
from tests import make
from tests.labels.ready_bottles import bottles, card, lot, read_ph
from tests.labels.test_issue_labels import issue, words_across
from tests.labels.test_label_page import CARD, page, pdf, text

__all__ = ["bottles", "card"]

HELD = {"reason": "the label names the wrong fragrance"}


def is_clean(desk, lot):
    """By the page, by a look at its file, and by the deed."""
    clean = "Issue and print" in text(page(desk, lot))
    look = words_across(pdf(desk, lot, print="one").content)
    assert look == ("NOTISSUED" if clean else "DRAFT")
    before = IssuedLabel.objects.count()
    issue(desk, lot, key=f"try {before} {Deed.objects.count()}")
    assert (IssuedLabel.objects.count() > before) is clean
    return clean


def approve(desk, lot, *causes, key="yes", **asked):
    where = reverse("lot-label-approve", args=[lot.code])
    typed = {"key": key, "on": str(today()), "reason": "text read against the papers"}
    typed["causes"] = [str(one.pk) for one in causes]
    return desk.post(f"{where}?{urlencode(asked)}", typed)


def holds(lot):
    return list(lot.holds.all())


def test_a_filled_lot_at_rest_and_a_released_one_are_clean(desk, bottles, card):
    assert is_clean(desk, bottles)
    hold_lot(lot=bottles, **make.act(3, **HELD))
    release_lot(lot=bottles, **make.act(4, reason="answered"))
    assert is_clean(desk, bottles)


def test_one_that_waits_for_its_release_is_clean_once_it_was_tested(
    desk, bottles, card
):
    resting = make.batch(
        "filling",
        uses=[(lot("FIN-1"), "100"), (lot("BOT-1"), "1")],
        makes="soap 250",
        unit="piece",
        amount="1",
        net_mass="100",
        code="REST-1",
        status="quarantine",
    )
    read_ph(resting)
    assert resting.statuses.last().status == "quarantine"
    assert is_clean(desk, resting)


def test_soap_that_nobody_tested_is_a_draft(desk, bottles, card):
    check = Measurement.objects.get(what="neutrality", lot=lot("PASTE-1"))
    take_back_check(measurement=check, **make.act(3, reason="it was of another pot"))
    assert not is_clean(desk, bottles)


def test_soap_that_failed_its_check_since_is_a_draft(desk, bottles, card):
    paste = lot("PASTE-1")
    note_measurement(lot=paste, readings=[make.check(False)], **make.act(3))
    assert not is_clean(desk, bottles)
    assert approve(desk, bottles).status_code == 302
    assert not TextApproved.objects.exists(), "no owner approves what may be caustic"


def test_a_rejected_lot_is_a_draft_and_no_approval_reaches_it(desk, bottles, card):
    reject_lot(lot=bottles, **make.act(3, reason="cloudy"))
    assert not is_clean(desk, bottles)
    approve(desk, bottles)
    assert not TextApproved.objects.exists()


def test_a_lot_held_for_its_label_and_expired_is_a_draft_for_both(desk, bottles, card):
    hold_lot(lot=bottles, **make.act(3, **HELD))
    Lot.objects.filter(pk=bottles.pk).update(expires=make.day(4))
    assert not is_clean(desk, bottles)
    approve(desk, bottles, *holds(bottles))
    assert not TextApproved.objects.exists()


def test_an_expired_lot_is_a_draft(desk, bottles, card):
    Lot.objects.filter(pk=bottles.pk).update(expires=make.day(4))
    assert not is_clean(desk, bottles)


def test_a_lot_that_is_called_back_is_a_draft(desk, bottles, card):
    make.sale(bottles)
    hold_lot(lot=bottles, **make.act(4, reason="called back: glass in one bottle"))
    assert not is_clean(desk, bottles)
    approve(desk, bottles)
    assert not TextApproved.objects.exists(), "no cause was ticked"
    assert not is_clean(desk, bottles)


class TestHeldForItsPapers:
    @pytest.fixture
    def held(self, desk, bottles, card):
        hold_lot(lot=bottles, **make.act(3, **HELD))
        return bottles

    def test_an_owner_approves_the_text_and_it_prints(self, desk, held):
        assert not is_clean(desk, held)
        shown = text(page(desk, held))
        assert reverse("lot-label-approve", args=[held.code]) in shown
        asked = text(desk.get(reverse("lot-label-approve", args=[held.code])))
        assert HELD["reason"] in asked
        assert "Olea Europaea Fruit Oil" in asked, (
            "the text is read where it is approved"
        )
        assert approve(desk, held, *holds(held)).status_code == 302
        assert is_clean(desk, held)

    def test_no_cause_is_ticked_before_and_one_is_asked_for(self, desk, held):
        asked = text(desk.get(reverse("lot-label-approve", args=[held.code])))
        assert "checked" not in asked
        assert approve(desk, held).status_code == 200
        assert not TextApproved.objects.exists()

    def test_the_lot_stays_held_and_is_not_sold(self, desk, held):
        approve(desk, held, *holds(held))
        with pytest.raises(Refused, match="is held"):
            make.sale(held, on=make.day(5))

    def test_another_text_is_a_draft_again(self, desk, held):
        approve(desk, held, *holds(held))
        where = reverse("label-card", args=[held.item_id])
        desk.post(where, CARD | {"cautions": "Keep away from children."})
        assert not is_clean(desk, held)
        desk.post(where, CARD)
        assert is_clean(desk, held), "the approved text is approved"

    def test_another_name_on_the_front_is_another_text(self, desk, held):
        approve(desk, held, *holds(held))
        where = reverse("label-card", args=[held.item_id])
        desk.post(where, CARD | {"product": "Kills germs"})
        assert not is_clean(desk, held)

    def test_the_rules_of_another_country_are_another_text(self, desk, held):
        approve(desk, held, *holds(held))
        assert is_clean(desk, held)
        shown = text(page(desk, held, rules="us"))
        assert "Issue and print" not in shown

    def test_a_cause_that_came_later_is_a_draft_again(self, desk, held):
        approve(desk, held, *holds(held))
        hold_lot(lot=held, **make.act(5, reason="a customer has red hands"))
        assert not is_clean(desk, held)

    def test_of_two_causes_both_must_be_ticked(self, desk, held):
        hold_lot(lot=held, **make.act(5, reason="a customer has red hands"))
        approve(desk, held, holds(held)[0])
        assert not is_clean(desk, held)
        approve(desk, held, *holds(held), key="both")
        assert is_clean(desk, held)

    def test_with_one_cause_left_open_it_says_that_it_is_still_a_draft(
        self, desk, held
    ):
        hold_lot(lot=held, **make.act(5, reason="a customer has red hands"))
        approve(desk, held, holds(held)[0])
        shown = text(page(desk, held))
        assert "Its label is still a draft." in shown
        assert "its label may be issued" not in shown
        approve(desk, held, *holds(held), key="both")
        assert "its label may be issued" in text(page(desk, held))

    def test_what_its_card_lacks_is_said_when_it_is_approved(self, desk, held, card):
        card.declared = ""
        card.save()
        approve(desk, held, *holds(held))
        shown = text(page(desk, held))
        assert "Its label is still a draft. Net contents: Write on" in shown

    def test_a_refusal_is_in_plain_words(self, desk, held):
        shown = text(approve(desk, held))
        assert "Nothing is written yet. To be mended:" in shown
        assert "[(" not in shown

    def test_two_causes_in_the_same_words_are_one_question(self, desk, held):
        hold_lot(lot=held, **make.act(5, **HELD))
        asked = text(desk.get(reverse("lot-label-approve", args=[held.code])))
        assert asked.count(HELD["reason"]) == 1
        approve(desk, held, holds(held)[0])
        assert is_clean(desk, held)

    def test_a_maker_reads_at_the_top_that_an_owner_approves(self, desk, held, client):
        where = reverse("lot-label-approve", args=[held.code])
        assert "Approve this text" in text(desk.get(where))
        client.force_login(make.maker())
        shown = text(client.get(where))
        assert "Only an owner approves" in shown
        assert "Approve this text" not in shown
        assert "Olea Europaea Fruit Oil" in shown

    def test_an_approval_given_by_mistake_is_taken_back(self, desk, held):
        approve(desk, held, *holds(held))
        undo_deed(
            undone=Deed.objects.get(verb="approve a label's text"),
            by=make.owner(),
            on=today(),
            reason="read the wrong paper",
        )
        assert not is_clean(desk, held)

    def test_a_maker_cannot_approve(self, desk, held, client):
        client.force_login(make.maker())
        answer = approve(client, held, *holds(held))
        assert "owner" in text(answer)
        assert not TextApproved.objects.exists()

    def test_what_was_made_from_a_held_lot_is_held_with_it(self, desk, bottles, card):
        oil = Lot.objects.get(item__name="olive oil")
        hold_lot(lot=oil, **make.act(3, reason="the supplier's paper names another"))
        assert not is_clean(desk, bottles)
        (cause,) = causes_to_answer(bottles)
        assert approve(desk, bottles, cause).status_code == 302
        assert is_clean(desk, bottles)
