"""What was typed stays: after a refusal, after the sign-in ended, never for another.

A maker weighs for an hour with the page open and sends it after the sign-in has ended.
Signed in again she finds the page as she filled it, with her weights, not the plan's,
and reads that nothing is written yet. Nothing is written until she sends it.
"""

from datetime import timedelta
from decimal import Decimal
from html import unescape

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from production.batches.actions.batches import start_batch
from production.models import Deed
from production.pages.views import after_sign_in
from production.recipes.actions.formulas import NewVersionLine
from tests import make
from tests.production.writing import typed

pytestmark = pytest.mark.django_db
SECRET = "kettle and spoon 7"
COUNTED = {"found": "880", "reason": "spilt"}


@pytest.fixture
def ines(owner):
    owner.set_password(SECRET)
    owner.save()
    return owner


@pytest.fixture
def desk(ines, client):
    client.force_login(ines)
    return client


def carried(page):
    """What a browser sends of a form, with whose it is."""
    text = page.text
    mark = text.split('name="who" value="', 1)[1].split('"', 1)[0]
    return typed(page) | {"who": unescape(mark)}


def sign_in(client, answer, name="ines"):
    said = client.get(answer.url)
    assert "nothing is written yet" in said.text
    return client.post(answer.url, {"username": name, "password": SECRET})


@pytest.fixture
def planned(desk):
    """The page of a dilution with its planned grams in the boxes."""
    make.lot("PASTE-1", grams="5000", item=make.item("paste", kind="made"))
    make.lot("DW-1", grams="9000", item=make.item("water", category="water"))
    recipe = make.version(
        stage="dilution",
        makes=make.item("diluted soap", kind="made"),
        lines=[
            NewVersionLine(make.item("paste"), share=Decimal("0.4")),
            NewVersionLine(make.item("water"), share=Decimal("0.6")),
        ],
    )
    page = reverse("batch-run", args=["dilution"])
    return f"{page}?version={recipe.pk}&wanted=1000"


def test_a_sign_in_that_ended_keeps_the_weighed_grams_and_not_the_plans(desk, planned):
    sent = carried(desk.get(planned))
    sent |= {"uses-0-lot": "PASTE-1", "uses-0-amount": "397.5 g", "amount": "991"}
    desk.logout()
    page = sign_in(desk, desk.post(planned, sent))
    assert page.url == planned
    shown = desk.get(page.url)
    assert shown.context["form"].rows["uses"][0]["amount"].value() == "397.5 g"
    assert shown.context["form"]["amount"].value() == "991"
    assert "You were signed out in between: nothing is written yet" in shown.text
    assert not Deed.objects.filter(verb="run a batch").exists()


@pytest.fixture
def count():
    return reverse("lot-count", args=[make.lot("K-1", grams="900").code])


def test_it_is_written_once_it_is_sent_again_and_is_then_forgotten(desk, count):
    sent = carried(desk.get(count)) | COUNTED
    desk.logout()
    shown = desk.get(sign_in(desk, desk.post(count, sent)).url)
    assert desk.get(count).context["form"]["found"].value() == "880"
    assert desk.post(count, carried(shown)).status_code == 302
    assert Deed.objects.get(verb="count a lot").by.username == "ines"
    assert desk.get(count).context["form"]["found"].value() is None


def test_nobody_else_sees_it(desk, count):
    tobias = make.maker()
    tobias.set_password(SECRET)
    tobias.save()
    sent = carried(desk.get(count)) | COUNTED
    desk.logout()
    page = sign_in(desk, desk.post(count, sent), "tobias")
    shown = desk.get(page.url)
    assert shown.context["form"]["found"].value() is None
    assert "nothing is written yet" not in shown.text
    assert not desk.session.get(after_sign_in.KEPT)


def test_a_form_opened_under_another_name_is_not_signed_by_who_sends_it(desk, count):
    sent = carried(desk.get(count)) | COUNTED
    desk.force_login(make.maker())
    asked = desk.post(count, sent)
    assert "opened under another name" in asked.text
    assert asked.context["form"]["found"].value() == "880"
    assert not Deed.objects.filter(verb="count a lot").exists()
    assert desk.post(count, carried(asked)).status_code == 302
    assert Deed.objects.get(verb="count a lot").by.username == "tobias"


def test_a_password_is_never_kept(desk):
    page = reverse("person-add")
    sent = carried(desk.get(page)) | {"username": "ada", "group": "maker"}
    sent |= dict.fromkeys(("password1", "password2"), "spoon and kettle 9")
    desk.logout()
    desk.post(page, sent)
    assert "ada" in desk.session[after_sign_in.KEPT][page]["sent"]
    assert "spoon" not in str(dict(desk.session))


@pytest.mark.parametrize("who", ["", "1", "1:forged"])
def test_what_no_page_of_the_house_sent_is_not_kept(client, ines, count, who):
    client.post(count, {"found": "880", "who": who})
    assert not client.session.get(after_sign_in.KEPT)


def test_too_much_is_not_kept(desk, count):
    sent = carried(desk.get(count)) | {"reason": "a" * after_sign_in.MOST}
    desk.logout()
    desk.post(count, sent)
    assert not desk.session.get(after_sign_in.KEPT)


def test_it_is_kept_for_half_a_day(desk, count, monkeypatch):
    sent = carried(desk.get(count)) | COUNTED
    desk.logout()
    page = sign_in(desk, desk.post(count, sent)).url
    later = timezone.now() + timedelta(hours=13)
    monkeypatch.setattr(after_sign_in.timezone, "now", lambda: later)
    # Nobody came for so long: one signs in again, and what was typed is gone by now.
    words = {"username": "ines", "password": SECRET}
    again = desk.post(desk.get(page).url, words).url
    assert desk.get(again).context["form"]["found"].value() is None


def test_a_form_older_than_the_last_sign_in_is_shown_again(ines, count):
    desk = Client(enforce_csrf_checks=True)
    desk.force_login(ines)
    sent = carried(desk.get(count)) | COUNTED
    sent["csrfmiddlewaretoken"] = "a" * 64
    stale = desk.post(count, sent, headers={"Origin": "http://testserver"})
    assert stale.url == count
    shown = desk.get(count)
    assert shown.context["form"]["found"].value() == "880"
    assert "nothing is written yet" in shown.text
    foreign = desk.post(count, sent, headers={"Origin": "http://elsewhere.example"})
    assert foreign.status_code == 403


def test_a_part_of_a_page_is_not_replaced_by_the_sign_in(client, ines, count):
    page = reverse("echo-lot")
    assert client.get(page, headers={"HX-Request": "true"}).status_code == 204


def test_a_page_is_sent_to_another_address_and_works_there(desk, count):
    """So Back brings the very page again, with its key; no box forbids to restore."""
    page = desk.get(count)
    assert f'action="{count}?sent"' in page.text
    assert 'autocomplete="off"' not in page.text
    assert page.headers["Cache-Control"] == "private, max-age=0"
    refused = desk.post(f"{count}?sent", typed(page) | {"found": "some"})
    assert f'action="{count}?sent"' in refused.text
    assert refused.wsgi_request.get_full_path() == count


class TestRefused:
    """A refusal stands at the top, takes the focus, and leads to each box."""

    def test_it_stands_above_the_form_and_leads_to_every_box(self, desk, count):
        page = desk.post(count, typed(desk.get(count)) | {"found": "", "on": "soon"})
        text = page.text
        assert text.index('id="refused"') < text.index('method="post" id="write"')
        assert 'role="alert" tabindex="-1" autofocus' in text
        for box in ("id_found", "id_on"):
            assert f'href="#{box}"' in text
            assert f'id="{box}"' in text

    def test_rows_are_named_and_led_to(self, desk):
        batch = start_batch(stage="cook", **make.act(3))
        page = reverse("batch-use", args=[batch.code])
        sent = typed(desk.get(page)) | {
            "uses-1-lot": "NONE-1",
            "uses-1-amount": "10",
            "uses-1-surplus": "much",
        }
        text = desk.post(page, sent).text
        assert 'href="#id_uses-1-lot">What goes in 2, Lot</a>' in text
        assert 'id="id_uses-1-lot"' in text

    def test_a_fault_in_a_folded_part_is_not_hidden(self, desk):
        lot = make.lot("K-1", grams="900")
        batch = start_batch(stage="cook", **make.act(3))
        page = reverse("batch-use", args=[batch.code])
        sent = typed(desk.get(page)) | {
            "uses-0-lot": lot.code,
            "uses-0-amount": "10",
            "uses-0-surplus": "much",
        }
        text = desk.post(page, sent).text
        at = text.index('id="id_uses-0-surplus"')
        assert "open" in text[text.rindex("<details", 0, at) : at].split(">")[0]

    @pytest.mark.parametrize("name", ["day", "purchase-sheet", "login"])
    def test_pages_of_their_own_shape_do_the_same(self, desk, name):
        page = reverse(name)
        if name == "day":
            paste = make.cook(code="PASTE-1")
            page = f"{page}?paste={paste.code}"
        text = desk.post(page, {"key": "k", "paste": "NONE"}).text
        assert 'id="refused" role="alert" tabindex="-1" autofocus' in text
        assert 'action="#' not in text


def test_several_windows_keep_theirs(desk, count):
    other = reverse("lot-count", args=[make.lot("K-2", grams="900").code])
    first = carried(desk.get(count)) | COUNTED
    second = carried(desk.get(other)) | {"found": "870"}
    desk.logout()
    desk.post(count, first)
    sign_in(desk, desk.post(other, second))
    assert desk.get(count).context["form"]["found"].value() == "880"
    assert desk.get(other).context["form"]["found"].value() == "870"


def test_a_second_sign_in_page_leads_on(ines, count):
    desk = Client(enforce_csrf_checks=True)
    desk.force_login(ines)
    sent = {"username": "ines", "password": SECRET}
    assert desk.post(f"/login/?next={count}", sent).url == count
    assert desk.post("/login/?next=//elsewhere.example", sent).url == reverse("start")


def test_what_only_asks_is_refused_in_the_same_way(desk):
    trace = desk.get(f"{reverse('trace')}?lot=NONE-1").text
    assert 'id="refused" role="alert" tabindex="-1" autofocus' in trace
    assert 'href="#id_lot"' in trace
