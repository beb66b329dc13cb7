"""Counting all that stands at a place, on one page.

A maker stands before the shelf with a tablet, once a year. She goes from lot to lot,
writes what she finds, leaves out what she does not get to, and wants to see what
differs, in grams and money, before any of it is written. It is one act: all of it is
written, or none; sent twice it counts once; and it can be taken back like one act.
"""

from decimal import Decimal
from html import unescape

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from production.buying.actions.purchases import NewLine, record_purchase
from production.buying.actions.suppliers import ensure_supplier
from production.correcting.actions.undoing import undo_deed
from production.lots.actions.lot_deeds import move_lot
from production.models import Count, Deed, Lot
from production.stock.actions.opening_lots import NewLot
from production.workshop.actions.cards import ensure_place
from tests import make
from tests.make import act
from tests.production.writing import typed

pytestmark = pytest.mark.django_db


@pytest.fixture
def place():
    return ensure_place("workshop")


@pytest.fixture
def lots(place):
    return [make.lot("OIL"), make.lot("FAT"), make.bottles("BOT")]


def url(place, blind=False):
    return reverse("place-count", args=[place.pk]) + ("?blind=1" if blind else "")


def boxes(lots, *found):
    pairs = zip(lots, found, strict=True)
    return {f"found_{lot.pk}": text for lot, text in pairs if text is not None}


def look(desk, place, written, blind=False):
    return desk.post(url(place, blind), typed(desk.get(url(place, blind))) | written)


def words(answer):
    return " ".join(unescape(answer.content.decode()).split())


def test_every_lot_that_stands_there_has_its_box(desk, place, lots):
    move_lot(lot=lots[0], amount=Decimal(1000), to=ensure_place("shed"), **act())
    sent = typed(desk.get(url(place)))
    assert [f"found_{lot.pk}" in sent for lot in lots] == [False, True, True]


def test_what_differs_is_shown_first_and_then_written(desk, place, lots):
    written = {**boxes(lots, "970 g", "1000", "48"), "reason": "yearly count"}
    first = look(desk, place, written)
    assert first.status_code == 200
    assert not Count.objects.exists()
    says = words(first)
    assert "3 counted, 2 differ</strong>: missing" in says
    assert "\u221230 <small>g" in says
    assert "\u22122 <small>pcs" in says
    assert ">\u22120.30 <small>" in says
    assert "Write the counts" in says
    assert desk.post(url(place), typed(first)).status_code == 302
    assert [make.on_hand(lot) for lot in lots] == [970, 1000, 48]
    assert Count.objects.count() == 3
    assert Deed.objects.filter(verb="count a place").count() == 1


def test_an_empty_box_is_not_counted_and_zero_is(desk, place, lots):
    written = {**boxes(lots, "", "0", None), "reason": "none left"}
    first = look(desk, place, written)
    desk.post(url(place), typed(first))
    assert [make.on_hand(lot) for lot in lots] == [1000, 0, 50]


def test_nothing_written_at_all_is_said(desk, place, lots):
    assert "what you found of one lot" in words(look(desk, place, {}))


def test_sent_twice_it_counts_once(desk, place, lots):
    first = look(desk, place, {**boxes(lots, "970", None, None), "reason": "x"})
    sent = typed(first)
    one, two = desk.post(url(place), sent), desk.post(url(place), sent)
    assert (one.status_code, two.status_code) == (302, 302)
    assert Count.objects.count() == 1
    assert make.on_hand(lots[0]) == 970


def test_what_was_changed_after_the_look_is_shown_again(desk, place, lots):
    first = look(desk, place, {**boxes(lots, "970", None, None), "reason": "x"})
    again = desk.post(url(place), typed(first) | boxes(lots, "97", None, None))
    assert again.status_code == 200
    assert not Count.objects.exists()


def test_beyond_the_band_each_lot_asks_why_unless_all_have_one_reason(
    desk, place, lots
):
    first = look(desk, place, boxes(lots, "970", "999", "48"))
    says = words(first)
    assert "OIL is 30 g less than the 1000 g of the book, 3.0 %: why?" in says
    assert "BOT is 2 pieces less" in says
    assert "FAT is" not in says
    assert f'href="#id_why_{lots[0].pk}"' in says
    own = {f"why_{lots[0].pk}": "a leak", f"why_{lots[2].pk}": "two broke"}
    assert desk.post(url(place), typed(first) | own).status_code == 302
    reasons = Count.objects.order_by("lot_id").values_list("why", flat=True)
    assert list(reasons) == ["a leak", "", "two broke"]


def test_it_is_refused_whole_with_a_link_to_every_faulty_row(desk, place, lots):
    """OIL and FAT were used after the day of the count, by more than was found."""
    for lot in lots[:2]:
        make.batch(uses=[(lot, "900")], on=make.day(6))
    late = {"on": "2026-03-04", "reason": "yearly count"}
    first = look(desk, place, {**boxes(lots, "800", "850", "48"), **late})
    second = desk.post(url(place), typed(first))
    assert second.status_code == 200
    says = words(second)
    for lot, short in zip(lots[:2], ("100", "50"), strict=True):
        assert f'href="#id_found_{lot.pk}"' in says
        assert f"{lot} would be {short} g short" in says
    assert typed(second)[f"found_{lots[2].pk}"] == "48"
    assert not Count.objects.exists()
    assert not Deed.objects.filter(verb="count a place").exists()


def test_a_box_that_cannot_be_read_is_faulted_and_the_others_stay(desk, place, lots):
    answer = look(desk, place, boxes(lots, "many", "990", "3.5"))
    assert f'href="#id_found_{lots[0].pk}"' in words(answer)
    assert typed(answer)[f"found_{lots[1].pk}"] == "990"


def test_blind_it_hides_what_the_book_says_until_all_is_counted(desk, place, lots):
    assert "By the book 1 000 g" in words(desk.get(url(place)))
    blind = words(desk.get(url(place, blind=True)))
    assert "By the book" not in blind
    assert "1 000" not in blind
    shown = look(desk, place, boxes(lots, "970", None, None), blind=True)
    assert "By the book" in words(shown)


def test_missing_alkali_asks_which_batch_may_have_got_it(desk, place):
    tub = make.koh(code="K1", grams="1140")
    uses = [(make.lot("OIL"), "700"), (tub, "140")]
    pot = make.batch("cook", uses=uses, makes="paste", amount="840").batch
    first = look(desk, place, {f"found_{tub.pk}": "900", "reason": "yearly count"})
    assert "say which batch may have got it" in words(first)
    assert "goggles" in words(first).lower()
    desk.post(url(place), typed(first) | {f"got_{tub.pk}": str(pot.pk)})
    assert tub.counts.get().batch == pot


def test_it_is_taken_back_like_one_act(desk, place, lots):
    first = look(desk, place, {**boxes(lots, "970", "990", "48"), "reason": "x"})
    desk.post(url(place), typed(first))
    deed = Deed.objects.get(verb="count a place")
    shown = words(desk.get(reverse("deed", args=[deed.pk])))
    assert "the book said" in shown
    undo_deed(undone=deed, **act(28, reason="the wrong shelf"))
    assert [make.on_hand(lot) for lot in lots] == [1000, 1000, 50]
    assert not Count.objects.standing().exists()


def test_a_place_leads_there_and_an_empty_one_says_so(desk, place, lots):
    assert url(place) in words(desk.get(reverse("places")))
    shed = ensure_place("shed")
    assert "Nothing stands here" in words(desk.get(url(shed)))


def test_five_hundred_lots_ask_no_more_than_two(desk, place):
    oil = make.item("rapeseed oil", category="oil")
    supplier = ensure_supplier("Northmere Oils")

    def buy(count, number):
        new = [NewLot(Decimal(1000), code=f"{number}-{n}") for n in range(count)]
        line = NewLine(item=oil, lots=new, price=Decimal(count))
        record_purchase(number=number, supplier=supplier, lines=[line], **act())

    def asked():
        with CaptureQueriesContext(connection) as caught:
            desk.get(url(place))
        return len(caught)

    buy(2, "P1")
    few = asked()
    buy(498, "P2")
    assert asked() == few
    written = {f"found_{lot.pk}": "990" for lot in Lot.objects.all()}
    first = look(desk, place, {**written, "reason": "yearly count"})
    assert "500 counted, 500 differ" in words(first)
    assert desk.post(url(place), typed(first)).status_code == 302
    assert Count.objects.count() == 500
