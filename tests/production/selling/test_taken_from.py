"""A sale takes from the place that it means, and says where from.

The crate stands at the stall, the rest in the workshop. A sale at the stall is taken
from the crate: the form asks once, with the crate proposed, and then the stall is
known to sell from it. Where the crate holds too few, the maker hears what stands where.
"""

from decimal import Decimal

import pytest
from django.urls import reverse

from production.lots.actions.lot_deeds import move_lot
from production.lots.actions.places import add_place
from production.models import Movement, Sale
from production.selling.actions.customers import ensure_customer
from production.selling.actions.sales import take_back
from production.stock.reads.stock import on_hand_by_place
from production.workshop.actions.cards import ensure_place
from tests import make
from tests.make import act
from tests.production.writing import typed

pytestmark = pytest.mark.django_db
STALL = "Saturday stall"


@pytest.fixture
def crate():
    return ensure_place("crate")


@pytest.fixture
def soap(crate):
    lot = make.filled("HS-1")
    move_lot(lot=lot, amount=Decimal(5), to=crate, **act())
    return lot


def post(desk, amount="2", code="HS-1", **facts):
    url = reverse("sale-sell")
    sent = typed(desk.get(url)) | {
        "on": "2026-03-05",
        "channel": STALL,
        "lines-0-lot": code,
        "lines-0-amount": amount,
    }
    return desk.post(url, sent | facts, follow=True).content.decode()


def chosen(page):
    """The place that stands in the first row as it is shown."""
    select = page.split('name="lines-0-place"')[1].split("</select>")[0]
    return select.split("selected")[1].split(">")[1].split("<")[0]


def test_a_lot_at_one_place_is_not_asked_about(desk, crate):
    make.filled("HS-2")
    page = post(desk, code="HS-2")
    assert "taken from workshop" in page
    assert Sale.objects.exists()


def test_the_stall_is_asked_once_with_the_crate_proposed(desk, soap):
    page = post(desk)
    assert not Sale.objects.exists()
    assert "5 pieces at crate, 15 at workshop" in page
    assert chosen(page) == "crate: 5 pieces"
    crate = ensure_place("crate")
    assert "taken from crate" in post(desk, **{"lines-0-place": crate.pk})
    assert "taken from crate" in post(desk, "1", channel=STALL.lower())
    assert on_hand_by_place(soap) == [("crate", 2), ("workshop", 15)]


def test_a_customer_is_served_from_the_workshop(desk, soap):
    tin = ensure_customer("The Tin Lantern")
    page = post(desk, customer=tin.pk, channel="")
    assert chosen(page) == "workshop: 15 pieces"


def test_a_shop_sells_what_stands_there(desk, soap, crate):
    tin = ensure_customer("The Tin Lantern")
    shop = add_place(name="A shop", customer=tin)
    move_lot(lot=soap, amount=Decimal(4), to=shop, **act())
    assert chosen(post(desk, customer=tin.pk, channel="")) == "A shop: 4 pieces"
    assert chosen(post(desk)) == "crate: 5 pieces", "never another's shop"


def test_where_the_crate_holds_too_few_it_is_asked_again(desk, soap, crate):
    post(desk, "3", **{"lines-0-place": crate.pk})
    page = post(desk, "4")
    assert "2 pieces at crate, 15 at workshop" in page
    page = post(desk, "4", **{"lines-0-place": crate.pk})
    assert "Only 2 pieces of HS-1 are on hand at crate" in page
    assert "There are 15 pieces at workshop" in page
    assert Sale.objects.count() == 1


def test_a_place_said_for_the_whole_sale_is_taken(desk, soap, crate):
    assert "taken from crate" in post(desk, place=crate.pk)


def test_page_list_and_undo_say_where_from(desk, soap, crate):
    post(desk, **{"lines-0-place": crate.pk})
    sale = Sale.objects.get()
    page = desk.get(sale.get_absolute_url()).content.decode()
    assert '<td data-label="From">crate</td>' in page
    assert "crate" in desk.get(reverse("sales")).content.decode()
    undo = reverse("deed-undo", args=[sale.deed_id])
    assert "at crate" in desk.get(undo).content.decode()
    sheet = desk.get(reverse("sales"), {"sheet": "xlsx"})
    assert sheet.status_code == 200


def test_the_page_of_a_lot_leads_to_the_form_with_its_places(desk, soap):
    page = desk.get(reverse("sale-sell"), {"lot": "HS-1"}).content.decode()
    assert chosen(page) == "crate: 5 pieces"


@pytest.mark.parametrize(
    ("name", "left"), [("lot-give", 4), ("lot-discard", 4), ("lot-count", 5)]
)
def test_other_deeds_ask_and_show_what_is_there(desk, soap, name, left):
    url = reverse(name, args=["HS-1"])
    page = desk.get(url).content.decode()
    assert "crate: 5 pieces" in page
    assert "workshop: 15 pieces" in page
    sent = typed(desk.get(url)) | {"on": "2026-03-05", "amount": "1", "found": "5"}
    sent |= {"why": "sample", "reason": "a leak"}
    before = Movement.objects.count()
    desk.post(url, {**sent, "place": ""})
    assert Movement.objects.count() == before
    crate = ensure_place("crate")
    assert desk.post(url, {**sent, "place": crate.pk}).status_code == 302
    assert dict(on_hand_by_place(soap))["crate"] == left


def test_what_came_back_is_no_place_to_sell_from(desk, soap, crate):
    line = make.sale(soap, "15").lines.get()
    take_back(line=line, amount=Decimal(3), then="apart", **act(4))
    page = post(desk)
    assert "taken from crate" in page, "it is the only place left"
