"""Mending the book from its pages."""

from datetime import timedelta

from django.urls import reverse

from production.forms.deed import today
from production.models import Closing, Lot
from tests import make
from tests.production.writing import holds, typed


def on_hand(lot):
    return Lot.objects.with_on_hand().get(pk=lot.pk).on_hand


def test_take_a_whole_deed_back(desk):
    lot = make.lot("L1")
    url = reverse("deed-undo", args=[lot.deed_id])
    holds(desk, url, {"reason": "never arrived"}, {"reason": ""}, "required")
    assert on_hand(lot) == 0


def test_take_an_entry_back(desk):
    lot = make.lot("L1")
    url = reverse("entry-take-back", args=[lot.movements.get().pk])
    holds(desk, url, {"reason": "never arrived"}, {"reason": ""}, "required")
    assert on_hand(lot) == 0
    assert url not in desk.get(reverse("lot", args=["L1"])).content.decode()


def test_correct_an_entry(desk):
    lot = make.lot("L1")
    url = reverse("entry-correct", args=[lot.movements.get().pk])
    good = {"amount": "1.2 kg", "reason": "misread"}
    holds(desk, url, good, {"amount": "0"}, "0 is nothing")
    assert on_hand(lot) == 1200


def test_close_a_month(desk):
    through = str(today() - timedelta(days=1))
    says = "choose a day that has passed"
    later = str(today() + timedelta(days=9))
    holds(desk, reverse("book-close"), {"through": through}, {"through": later}, says)
    assert str(Closing.objects.get().through) == through


def test_a_maker_does_not_close_a_month(client, owner):
    client.force_login(make.maker())
    url = reverse("book-close")
    sent = typed(client.get(url)) | {"through": str(today() - timedelta(days=1))}
    page = client.post(url, sent).content.decode()
    assert "Only an owner may close a month" in page
    assert not Closing.objects.exists()


def test_the_history_names_the_lots_and_offers_to_take_back(desk):
    lot = make.lot("L1")
    page = desk.get(reverse("history")).content.decode()
    assert "record a purchase" in page
    assert "L1" in page
    assert reverse("deed-undo", args=[lot.deed_id]) in page
