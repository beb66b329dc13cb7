"""Two people on one card: the second save shows what changed in between.

Ines and Tobias have one card open. Ines saves. What Tobias saves then must not silently
undo it: he reads box by box what stood there, what stands there now, and what he typed.
What he did not touch is hers; what he typed stays, and goes in when he saves once more.
"""

import json
from decimal import Decimal
from html import unescape

import pytest
from django.urls import reverse

from labels.models import Sheet
from production.buying.actions.suppliers import change_supplier
from production.lots.actions.places import add_place
from production.models import Item, RuleOfThumb, Supplier, Vessel, Workshop
from production.selling.actions.customers import add_customer
from production.workshop.actions.cards import set_up_workshop
from tests import make
from tests.production.writing import typed

pytestmark = pytest.mark.django_db


def opened(page):
    """A form as a browser holds it, with what it was opened with."""
    mark = page.text.split('name="opened" value="', 1)[1].split('"', 1)[0]
    return typed(page) | {"opened": unescape(mark)}


@pytest.fixture
def card():
    return Supplier.objects.create(name="Northmere", contact="ada", note="slow")


@pytest.fixture
def url(card):
    return reverse("supplier-change", args=[card.pk])


def test_what_changed_is_shown_and_nothing_is_written(desk, card, url):
    sent = opened(desk.get(url)) | {"contact": "carl"}
    change_supplier(supplier=card, contact="bea")
    page = desk.post(url, sent)
    text = " ".join(page.text.split())
    assert "Somebody changed this card" in text
    assert "was ada, is now <strong>bea</strong>" in text
    assert "You typed carl" in text
    assert page.context["form"]["contact"].value() == "carl"
    card.refresh_from_db()
    assert card.contact == "bea"


def test_saving_once_more_goes_through(desk, card, url):
    sent = opened(desk.get(url)) | {"contact": "carl"}
    change_supplier(supplier=card, contact="bea")
    again = opened(desk.post(url, sent))
    assert desk.post(url, again).status_code == 302
    card.refresh_from_db()
    assert (card.contact, card.note) == ("carl", "slow")


def test_what_was_not_touched_is_taken_over(desk, card, url):
    sent = opened(desk.get(url)) | {"contact": "carl"}
    change_supplier(supplier=card, note="quick")
    page = desk.post(url, sent)
    assert "taken over below" in page.text
    desk.post(url, opened(page))
    card.refresh_from_db()
    assert (card.contact, card.note) == ("carl", "quick")


def test_a_third_change_is_shown_too(desk, card, url):
    sent = opened(desk.get(url)) | {"contact": "carl"}
    change_supplier(supplier=card, contact="bea")
    again = opened(desk.post(url, sent))
    change_supplier(supplier=card, contact="dora")
    text = " ".join(desk.post(url, again).text.split())
    assert "was bea, is now <strong>dora</strong>" in text


def test_the_same_sent_twice_is_done(desk, card, url):
    sent = opened(desk.get(url)) | {"contact": "carl"}
    assert desk.post(url, sent).status_code == 302
    assert desk.post(url, sent).status_code == 302


def test_both_wrote_the_same(desk, card, url):
    sent = opened(desk.get(url)) | {"contact": "carl"}
    change_supplier(supplier=card, contact="carl")
    assert desk.post(url, sent).status_code == 302


def test_who_and_when_are_said_where_a_deed_kept_them(desk, owner):
    item = make.item("citrate", category="salt")
    url = reverse("item-change", args=[item.pk])
    sent = opened(desk.get(url)) | {"category": "additive", "reason": "so I think"}
    first = opened(desk.get(url)) | {"category": "acid", "reason": "as its paper says"}
    assert desk.post(url, first).status_code == 302
    text = " ".join(desk.post(url, sent).text.split())
    assert f"({owner}, at " in text
    item.refresh_from_db()
    assert item.category == "acid"


@pytest.fixture
def rows(owner):
    make.maker()
    set_up_workshop(name="Harbour Soap", address="2 Quay Street")
    rule = RuleOfThumb(
        topic="foam", figure="iodine value", low=None, high=None, says="ok"
    )
    return {
        "customer-change": make_row("customer", name="Mara"),
        "place-change": make_row("place", name="Crate"),
        "vessel-change": Vessel.objects.create(name="Kettle", volume=24000),
        "hint-change": rule,
    }


def make_row(kind, **facts):
    return {"customer": add_customer, "place": add_place}[kind](**facts)


@pytest.mark.parametrize("name", ["customer-change", "place-change", "vessel-change"])
def test_every_plain_card_does_so(desk, rows, name):
    row = rows[name]
    url = reverse(name, args=[row.pk])
    sent = opened(desk.get(url)) | {"name": "Third"}
    type(row).objects.filter(pk=row.pk).update(name="Second")
    assert "is now <strong>Second</strong>" in desk.post(url, sent).text
    assert type(row).objects.get(pk=row.pk).name == "Second"


def test_the_workshops_card_and_a_persons_do_so(desk, rows):
    url = reverse("workshop-change")
    sent = opened(desk.get(url)) | {"name": "Third"}
    Workshop.objects.update(name="Second")
    assert "is now <strong>Second</strong>" in desk.post(url, sent).text
    tobias = make.maker()
    url = reverse("person", args=[tobias.pk])
    sent = opened(desk.get(url)) | {"group": "owner"}
    tobias.is_active = False
    tobias.save()
    assert "May sign in" in desk.post(url, sent).text
    assert not tobias.groups.filter(name="owner").exists()


def test_what_is_carried_is_read_as_it_comes(desk, card, url):
    """A form without it, or with nonsense in it, is saved as before."""
    sent = typed(desk.get(url)) | {"contact": "carl"}
    for mark in ("", "{", "[1]", json.dumps({"no such": "box"})):
        assert desk.post(url, sent | {"opened": mark}).status_code == 302


def test_a_card_that_is_added_has_nothing_in_between(desk):
    url = reverse("supplier-add")
    assert desk.post(url, opened(desk.get(url)) | {"name": "New"}).status_code == 302
    assert not Item.objects.exists()


def test_figures_that_nobody_touched_are_not_taken_for_typed(desk):
    figures = {"density": "1.26", "low_at": "250", "most": "0.005", "ph_low": "4.50"}
    item = make.item("scent", category="fragrance", **figures)
    item.refresh_from_db()
    url = reverse("item-change", args=[item.pk])
    sent = opened(desk.get(url)) | {"name": "Third"}
    Item.objects.filter(pk=item.pk).update(density="1.27", most="0.02")
    page = desk.post(url, sent)
    assert [one.taken for one in page.context["changed"]] == [True, True]
    assert desk.post(url, opened(page)).status_code == 302
    item.refresh_from_db()
    assert item.name == "Third"
    assert (item.density, item.most) == (Decimal("1.27"), Decimal("0.02"))


def test_a_sheet_of_labels_does_so(desk):
    url = reverse("sheet-add") + "?from=0"
    assert desk.post(url, typed(desk.get(url))).status_code == 302
    row = Sheet.objects.get()
    url = reverse("sheet-change", args=[row.pk])
    sent = opened(desk.get(url)) | {"left": "6"}
    Sheet.objects.update(top="7")
    page = desk.post(url, sent)
    assert [one.name for one in page.context["changed"]] == ["top"]
