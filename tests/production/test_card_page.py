"""The plain cards: no deed stands behind them, and nothing typed is lost."""

import pytest
from django.contrib.auth import get_user_model
from django.urls import reverse

from production.models import Customer, Item, Place, Supplier, Workshop
from tests import make
from tests.production.writing import fill, typed


@pytest.mark.parametrize(
    ("name", "model"),
    [
        ("item-add", Item),
        ("supplier-add", Supplier),
        ("customer-add", Customer),
        ("place-add", Place),
    ],
)
def test_a_card_is_added_once(desk, name, model):
    fill(desk, reverse(name), name="Clearwick")
    sent = typed(desk.get(reverse(name))) | {"name": "Clearwick"}
    again = desk.post(reverse(name), sent)
    assert again.status_code == 200
    assert 'value="Clearwick"' in again.content.decode()
    assert model.objects.filter(name="Clearwick").count() == 1


def test_a_card_is_changed(desk):
    item = make.item("glycerin")
    fill(desk, reverse("item-change", args=[item.pk]), density="1.26", on_tap="")
    item.refresh_from_db()
    assert str(item.density) == "1.2600"


def test_the_unit_of_an_item_with_lots_stays(desk):
    lot = make.lot()
    url = reverse("item-change", args=[lot.item_id])
    sent = typed(desk.get(url)) | {"unit": "piece"}
    assert "its unit stays" in desk.post(url, sent).content.decode()
    lot.item.refresh_from_db()
    assert lot.item.unit == "g"


def test_an_alkali_says_which_one_it_is(desk):
    sent = typed(desk.get(reverse("item-add"))) | {"name": "lye", "category": "alkali"}
    page = desk.post(reverse("item-add"), sent).content.decode()
    assert "Say which alkali it is" in page
    assert not Item.objects.exists()


def test_the_workshop_writes_its_card(desk):
    fill(
        desk,
        reverse("workshop-change"),
        name="Wrackline Soap Works",
        currency="usd",
        zone="America/New_York",
    )
    card = Workshop.objects.get()
    assert (card.currency, card.zone) == ("USD", "America/New_York")


def test_a_zone_that_is_none_is_refused(desk):
    url = reverse("workshop-change")
    sent = typed(desk.get(url)) | {"name": "Wrackline", "zone": "Marrow Point"}
    assert "Choose a zone" in desk.post(url, sent).content.decode()
    assert not Workshop.objects.exists()


PERSON = {
    "username": "wren",
    "password1": "kettle-book-9",
    "password2": "kettle-book-9",
}


def test_an_owner_adds_a_person(desk):
    fill(desk, reverse("person-add"), **PERSON, group="maker")
    wren = get_user_model().objects.get(username="wren")
    assert [group.name for group in wren.groups.all()] == ["maker"]
    assert wren.check_password("kettle-book-9")


def test_a_maker_adds_nobody(client, owner):
    client.force_login(make.maker())
    sent = typed(client.get(reverse("person-add"))) | PERSON
    page = client.post(reverse("person-add"), sent).content.decode()
    assert "Only an owner may add a person" in page
    assert not get_user_model().objects.filter(username="wren").exists()


def test_signing_in_and_out(client, owner):
    owner.set_password("kettle-book-1")
    owner.save()
    sent = {"username": "ines", "password": "wrong"}
    page = client.post(reverse("login"), sent).content.decode()
    assert 'value="ines"' in page
    answer = client.post(reverse("login"), sent | {"password": "kettle-book-1"})
    assert answer.url == reverse("start")
    assert client.post(reverse("logout")).url == reverse("login")
