"""A document is typed once an edition; each further lot is only confirmed."""

from decimal import Decimal

import pytest
from django.urls import reverse

from production.buying.actions.purchases import open_stock
from production.fragrance.actions import confirm_document
from production.fragrance.reads import documents_of, editions_of
from production.models import FragranceDocument
from production.stock.actions.opening_lots import NewLot
from tests import make
from tests.production.fragrance.test_fragrance_documents import note, scent
from tests.production.fragrance.test_fragrance_page import words

pytestmark = pytest.mark.django_db

PAPER = {
    "dated": make.day(1),
    "flash_point": Decimal("62.5"),
    "vanillin": Decimal("0.012"),
    "most": Decimal("0.02"),
    "constituents": {"Linalool": Decimal("0.08"), "Citral": Decimal("0.01")},
}


def second(first, code="FRA-2"):
    """A later delivery of the same fragrance."""
    new = NewLot(amount=Decimal(500), code=code)
    return open_stock(item=first.item, lot=new, **make.act(4))


@pytest.fixture
def typed():
    """Of the first lot, with the second one that has none."""
    first = scent()
    return note(first, "Rev. 3", **PAPER), second(first)


def address(lot, document):
    return f"{reverse('lot-same-document', args=[lot.code])}?document={document.pk}"


def test_the_second_lot_has_all_that_was_typed_for_the_first(typed):
    document, lot = typed
    made = confirm_document(lot=lot, like=document, **make.act(5))
    assert made.lot == lot
    papers = documents_of([document.lot_id, lot.pk])
    assert papers[lot.pk] == papers[document.lot_id]
    assert papers[lot.pk].constituents == PAPER["constituents"]


def test_it_is_another_row_so_that_a_later_edition_is_of_one_lot_alone(typed):
    document, lot = typed
    confirm_document(lot=lot, like=document, **make.act(5))
    note(lot, "Rev. 4", on=make.day(6))
    papers = documents_of([document.lot_id, lot.pk])
    assert papers[document.lot_id].edition == "Rev. 3"
    assert papers[lot.pk].edition == "Rev. 4"


def test_what_it_says_of_having_none_is_taken_over():
    document = note(scent(), "Rev. 3", no_allergens=True)
    lot = second(document.lot)
    assert confirm_document(lot=lot, like=document, **make.act(5)).no_allergens


def test_the_document_of_another_fragrance_is_refused(typed):
    document, _ = typed
    other = make.lot("OTHER", item=make.item("Tar", category="fragrance"))
    with make.refused("Rev. 3 is of Kelp and cedar, and OTHER is Tar"):
        confirm_document(lot=other, like=document, **make.act(5))


def test_an_older_one_does_not_take_the_place_of_a_newer(typed):
    document, lot = typed
    note(lot, "Rev. 4", on=make.day(4), dated=make.day(2))
    with make.refused("older"):
        confirm_document(lot=lot, like=document, **make.act(5))


def test_the_page_offers_each_edition_of_the_other_lots_once(desk, typed):
    document, lot = typed
    third = second(document.lot, "FRA-3")
    confirm_document(lot=third, like=document, **make.act(5))
    assert [one.edition for one in editions_of(lot)] == ["Rev. 3"]
    assert editions_of(third) == []
    page = words(desk.get(reverse("lot-fragrance", args=[lot.code])))
    assert f"Rev. 3 of {make.day(1)} is the document of this lot too" in page


def test_it_is_confirmed_with_one_tick_and_nothing_is_typed(desk, typed):
    document, lot = typed
    page = desk.get(address(lot, document))
    form = page.context["form"]
    sent = {"key": form["key"].value(), "on": "2026-03-06"}
    asked = desk.post(address(lot, document), sent)
    assert "Look at the paper that came with this lot" in words(asked)
    assert FragranceDocument.objects.filter(lot=lot).count() == 0
    done = desk.post(address(lot, document), {**sent, "named": "on"}, follow=True)
    assert "Rev. 3 of FRA-2 is in force." in words(done)
    again = desk.post(address(lot, document), {**sent, "named": "on"}, follow=True)
    assert again.status_code == 200
    assert FragranceDocument.objects.filter(lot=lot).count() == 1


def test_the_same_edition_with_other_figures_is_pointed_out(desk, typed):
    _, lot = typed
    note(lot, "Rev. 3", **{**PAPER, "most": Decimal("0.03")}, on=make.day(5))
    page = words(desk.get(reverse("lot-fragrance", args=[lot.code])))
    assert "typed with other figures for FRA-1" in page


def test_a_document_of_another_fragrance_has_no_address_here(desk, typed):
    document, _ = typed
    other = make.lot("OTHER", item=make.item("Tar", category="fragrance"))
    away = reverse("lot-fragrance", args=[other.code])
    assert desk.get(address(other, document)).url == away
    bare = reverse("lot-same-document", args=[document.lot.code])
    assert desk.get(bare).url == reverse("lot-fragrance", args=[document.lot.code])
