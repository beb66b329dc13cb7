"""The plain cards: no deed stands behind them, and nothing typed is lost."""

from html import unescape

import pytest
from django.contrib.auth import get_user_model
from django.test import Client
from django.urls import reverse

from production.buying.actions.suppliers import add_supplier, ensure_supplier
from production.models import Customer, Item, Place, Supplier, Workshop
from production.record.actions import cards as record_cards
from production.selling.actions.customers import ensure_customer
from production.workshop.actions.cards import ensure_place
from production.workshop.views import to_call
from tests import make
from tests.production.writing import fill, typed


def make_customer():
    return str(ensure_customer("Mara").pk)


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
    says = {"name": "Clearwick"} | ({"category": "additive"} if model is Item else {})
    fill(desk, reverse(name), **says)
    sent = typed(desk.get(reverse(name))) | says
    again = desk.post(reverse(name), sent)
    other = "unit" if model is Item else "customer" if model is Place else "contact"
    told = {"unit": "piece", "contact": "ada", "customer": make_customer()}[other]
    more = desk.post(reverse(name), sent | {other: told})
    assert model.objects.filter(name="Clearwick").count() == 1
    if model is not Item:
        # The same twice is the same card, something else under its name is refused.
        assert again.status_code == 302
    assert more.status_code == 200
    assert 'value="Clearwick"' in more.content.decode()
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


def write_card(desk, **facts):
    sent = typed(desk.get(reverse("workshop-change")))
    return desk.post(reverse("workshop-change"), sent | {"name": "Wrackline"} | facts)


@pytest.mark.parametrize(
    ("facts", "says"),
    [
        ({"zone": "Marrow Point"}, "Choose a zone"),
        ({"zone": "America"}, "Choose a zone"),
        ({"currency": "$"}, "three letters"),
        ({"currency": "12A"}, "three letters"),
        ({"paper": "A3"}, "Select a valid choice"),
        ({"units": "stone"}, "Select a valid choice"),
        ({"name": " "}, "required"),
        ({"contact": "x" * 201}, "at most 200 characters"),
    ],
)
def test_a_card_that_cannot_be_is_refused_and_kept(desk, facts, says):
    answer = write_card(desk, address="14 Cooper's Slip", **facts)
    page = unescape(answer.content.decode())
    assert says in page
    assert "14 Cooper's Slip" in page
    assert all(str(typed(answer)[name]) == value for name, value in facts.items())
    assert not Workshop.objects.exists()


def test_the_currency_stays_once_something_is_written(desk):
    write_card(desk, currency="EUR")
    write_card(desk, currency="CAD")
    make.lot()
    page = write_card(desk, currency="USD", contact="555-0100").content.decode()
    assert "The book is written in CAD: its currency stays." in page
    assert 'value="555-0100"' in page
    assert Workshop.objects.get().currency == "CAD"
    assert write_card(desk, currency="cad", contact="555-0100").status_code == 302


def test_the_numbers_on_the_card_stand_on_the_splash_page(desk):
    write_card(desk, emergency="Ambulance 555-0111\n\n  Poison help 555-0122 ")
    page = Client().get(reverse("splash")).content.decode()
    assert '<a href="tel:5550111">Ambulance 555-0111</a>' in page
    assert '<a href="tel:5550122">Poison help 555-0122</a>' in page


@pytest.mark.parametrize(
    ("line", "dialled"),
    [
        ("Ambulance: 911", ["tel:911"]),
        ("Poison Help: 1-800-222-1222", ["tel:18002221222"]),
        ("Hospital, 24 h: +44 (0)20 5555 0100", ["tel:+442055550100"]),
        ("SAMU 15", ["tel:15"]),
        ("112 / 999", ["tel:112", "tel:999"]),
        ("Ring the bell of the neighbour", []),
    ],
)
def test_a_number_is_tapped_as_it_is_dialled(line, dialled):
    parts = to_call(line)
    assert [dials for _, dials in parts if dials] == dialled
    assert "".join(words for words, _ in parts) == line


def test_water_comes_first_and_the_numbers_before_the_text(desk):
    write_card(desk, emergency="Ambulance 555-0111")
    page = Client().get(reverse("splash")).content.decode()
    main = page[page.index("<main") :]
    first = main.index("Water now, keep rinsing, let somebody else call")
    assert first < main.index("tel:5550111") < main.index("Rinse with gently")


@pytest.mark.parametrize("name", ["splash", "login"])
def test_the_splash_page_is_one_tap_away_signed_out(db, name):
    page = Client().get(reverse(name)).content.decode()
    assert f'href="{reverse("splash")}"' in page


def test_a_maker_leaves_the_card_alone(client, owner):
    client.force_login(make.maker())
    page = unescape(write_card(client).content.decode())
    assert "Only an owner may change the workshop's card" in page
    assert 'value="Wrackline"' in page
    assert not Workshop.objects.exists()


def cards():
    sale = make.sale(make.filled(), "2")
    return {
        "supplier-change": ensure_supplier("Northmere Oils"),
        "customer-change": sale.customer,
        "place-change": ensure_place("crate"),
    }


@pytest.mark.parametrize("name", ["supplier-change", "customer-change", "place-change"])
def test_a_card_is_renamed_unless_the_name_is_taken(desk, name):
    row = cards()[name]
    type(row).objects.create(name="Pan & Sieve")
    url = reverse(name, args=[row.pk])
    sent = typed(desk.get(url)) | {"name": "Pan & Sieve"}
    answer = desk.post(url, sent)
    assert "already exists" in answer.content.decode()
    assert typed(answer) == sent
    row.refresh_from_db()
    assert row.name != "Pan & Sieve"
    fill(desk, url, name="  Clearwick ")
    row.refresh_from_db()
    assert row.name == "Clearwick"


def test_a_card_that_somebody_else_wrote_a_blink_before_is_refused(db, monkeypatch):
    Supplier.objects.create(name="Clearwick")
    monkeypatch.setattr(record_cards, "ensure_valid", lambda row: None)
    with make.refused("Clearwick has a card already"):
        add_supplier(name="Clearwick")


def test_a_supplier_keeps_contact_and_note(desk):
    fill(desk, reverse("supplier-add"), name="Clearwick", contact="555-0100", note="by")
    row = Supplier.objects.get()
    fill(desk, reverse("supplier-change", args=[row.pk]), note="by rail")
    row.refresh_from_db()
    assert (row.contact, row.note) == ("555-0100", "by rail")


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
